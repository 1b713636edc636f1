from django.urls import path

from installs.foundation import views

urlpatterns = [
    path("", views.page, name="foundation"),
    path("bars/", views.bars, name="foundation-bars"),
    path("bars/cutting/<str:key>/", views.cutting, name="foundation-cutting"),
    path("template/", views.template, name="foundation-template"),
    path("template/cut.dxf", views.template_cut, name="foundation-template-cut"),
    path("template/survey/", views.survey, name="foundation-survey"),
]
