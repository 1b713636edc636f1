from django.urls import path

from installs.inspection import views

urlpatterns = [
    path("inspections/", views.inspections, name="inspections"),
    path("inspections/add/", views.add, name="inspection-add"),
    path("inspections/corrections/<int:pk>/", views.answer, name="correction-answer"),
    path("inspections/meters/", views.read_meters, name="meters-read"),
    path("inspections/<int:pk>/card/", views.card, name="inspection-card"),
]
