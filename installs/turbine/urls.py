from django.urls import path

from installs.turbine import views

urlpatterns = [path("", views.page, name="turbine")]
