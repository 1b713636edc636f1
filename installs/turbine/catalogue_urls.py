"""The firm's machines, outside any job."""

from django.urls import path

from installs.turbine import views

urlpatterns = [
    path("turbines/", views.models, name="turbine-models"),
    path("turbines/add/", views.model, name="turbine-model-add"),
    path("turbines/<int:pk>/", views.model, name="turbine-model"),
    path("turbines/<int:pk>/archive/", views.archive, name="turbine-model-archive"),
    path("turbines/<int:pk>/take-back/", views.take_back, name="turbine-model-take-back"),
    path("turbines/<int:pk>/curve/", views.curve_csv, name="turbine-curve-csv"),
]
