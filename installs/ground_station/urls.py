from django.urls import path

from installs.ground_station import views

urlpatterns = [path("", views.page, name="ground-station")]
