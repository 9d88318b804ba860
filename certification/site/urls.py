"""The addresses of the site: each app's own, under words of the trade."""

from django.urls import include, path
from django.views.i18n import set_language

from certification.site.api import api

urlpatterns = [
    path("", include("certification.site.pages")),
    path("", include("training.people.urls")),
    path("", include("training.specimens.urls")),
    path("", include("training.floor.urls")),
    path("", include("training.quizzes.urls")),
    path("", include("training.lessons.urls")),
    path("", include("certification.certificates.urls")),
    path("", include("certification.matrix.urls")),
    path("", include("certification.staffing.urls")),
    path("api/", api.urls),
    path("language/", set_language, name="set_language"),
]
