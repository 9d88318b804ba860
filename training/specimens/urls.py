"""Addresses of specimens and of their pictures."""

from django.urls import path

from training.specimens.series_urls import series_patterns
from training.specimens.views import (
    adding,
    bringing_back,
    deciding,
    deciding_again,
    detail,
    first_pieces,
    listing,
    outlining,
    panel_looks,
    panels,
    pictures,
    pools,
    rating,
    real_parts,
)

app_name = "specimens"
urlpatterns = [
    *series_patterns,
    path("specimens/", listing.specimen_list, name="specimen_list"),
    path("specimens/add/", adding.specimen_add, name="specimen_add"),
    path("specimens/<uuid:pk>/", detail.specimen_detail, name="specimen_detail"),
    path("specimens/<uuid:pk>/views/add/", adding.view_add, name="view_add"),
    path("specimens/<uuid:pk>/views/<int:view>/outline/", outlining.outline, name="outline"),
    path("specimens/<uuid:pk>/rate/", rating.rate, name="rate"),
    path("specimens/<uuid:pk>/decide/", deciding.decide, name="decide"),
    path("specimens/<uuid:pk>/pool/", pools.pool, name="move_pool"),
    path("specimens/<uuid:pk>/retire/", pools.retire, name="retire"),
    path("specimens/<uuid:pk>/bring-back/", bringing_back.bring_back, name="bring_back"),
    path("specimens/<uuid:pk>/<int:view>/<int:frame>", pictures.frame, name="frame"),
    path(
        "specimens/<uuid:pk>/<int:view>/<int:frame>/small", pictures.small_frame, name="small_frame"
    ),
    path("specimens/decide-again/", deciding_again.decide_again, name="decide_again"),
    path("panels/", panels.panel_list, name="panel_list"),
    path("panels/open/", panels.panel_open, name="panel_open"),
    path("panels/<uuid:pk>/", panels.panel_round, name="panel_round"),
    path("panels/<uuid:pk>/close/", panels.panel_close, name="panel_close"),
    path("panels/<uuid:pk>/unsettled/", panels.panel_unsettled, name="panel_unsettled"),
    path("panels/<uuid:pk>/look/", panel_looks.panel_look, name="panel_look"),
    path("panels/<uuid:pk>/part/<int:ordinal>/", panel_looks.panel_part, name="panel_part"),
    path("panels/<uuid:pk>/answer/", panel_looks.panel_answer, name="panel_answer"),
    path(
        "panels/<uuid:pk>/part/<int:ordinal>/<int:view>/<int:number>",
        panel_looks.panel_frame,
        name="panel_frame",
    ),
    path("real-parts/", real_parts.real_part_list, name="real_part_list"),
    path("real-parts/export/", real_parts.real_part_export, name="real_part_export"),
    path("real-parts/add/", real_parts.real_part_add, name="real_part_add"),
    path("real-parts/<uuid:pk>/", real_parts.real_part, name="real_part"),
    path("limit-samples/add/", real_parts.limit_sample_add, name="limit_sample_add"),
    path("limit-samples/<uuid:pk>/", real_parts.limit_sample, name="limit_sample"),
    path("real-parts/copies/<uuid:pk>/withdraw/", real_parts.copy_withdraw, name="copy_withdraw"),
    path(
        "jobs/<str:number>/first-piece/",
        first_pieces.first_piece_approve,
        name="first_piece_approve",
    ),
    path("first-pieces/<uuid:pk>/", pictures.first_piece_picture, name="first_piece_picture"),
    path(
        "first-pieces/<uuid:pk>/<int:frame>", pictures.first_piece_frame, name="first_piece_frame"
    ),
]
