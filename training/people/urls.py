"""Addresses of people, devices and signing in."""

from django.urls import path

from training.people.views import devices, importing, persons, sign_in

app_name = "people"
urlpatterns = [
    path("sign-in/", sign_in.floor_sign_in, name="floor_sign_in"),
    path("office/", sign_in.office_sign_in, name="office_sign_in"),
    path("sign-out/", sign_in.sign_out, name="sign_out"),
    path("my-pin/", sign_in.change_pin, name="change_pin"),
    path("my-password/", sign_in.change_password, name="change_password"),
    path("people/", persons.person_list, name="person_list"),
    path("people/add/", persons.person_add, name="person_add"),
    path("people/import/", importing.import_people, name="import_people"),
    path("people/<str:personnel_no>/", persons.person_detail, name="person_detail"),
    path("people/<str:personnel_no>/edit/", persons.person_edit, name="person_edit"),
    path("people/<str:personnel_no>/pin/", persons.pin_reset, name="pin_reset"),
    path("people/<str:personnel_no>/password/", persons.password_reset, name="password_reset"),
    path("devices/", devices.device_list, name="device_list"),
    path("devices/enrol/", devices.device_enrol, name="device_enrol"),
    path("devices/invite/", devices.device_invite, name="device_invite"),
    path("devices/join/<str:invitation>/", devices.device_join, name="device_join"),
    path("devices/<uuid:pk>/withdraw/", devices.device_withdraw, name="device_withdraw"),
]
