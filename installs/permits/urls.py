from django.urls import path

from installs.permits import views

urlpatterns = [
    path("permits/", views.permits, name="permits"),
    path("permits/add/", views.permit, name="permit-add"),
    path("permits/<int:pk>/", views.permit, name="permit"),
    path("permits/<int:pk>/paper/", views.paper, name="permit-paper"),
]
