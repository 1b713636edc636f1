from django.urls import path

from installs.materials import views

urlpatterns = [
    path("materials/", views.materials, name="materials"),
    path("materials/materials.csv", views.as_file, name="materials-csv"),
]
