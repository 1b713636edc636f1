from django.urls import path

from installs.site import views

urlpatterns = [path("", views.page, name="site")]
