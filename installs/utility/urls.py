from django.urls import path

from installs.utility import views

urlpatterns = [
    path("people/utilities/", views.utilities, name="utilities"),
    path("people/utilities/add/", views.profile, name="utility-profile-add"),
    path("people/utilities/<int:pk>/", views.profile, name="utility-profile"),
    path("jobs/<str:number>/utility/", views.utility, name="utility"),
    path("jobs/<str:number>/utility/edit/", views.edit, name="utility-edit"),
    path("jobs/<str:number>/utility/letter/", views.letter, name="utility-letter"),
    path("jobs/<str:number>/utility/state/", views.add, name="utility-state-add"),
    path("jobs/<str:number>/utility/<int:pk>/strike/", views.strike, name="utility-strike"),
    path("jobs/<str:number>/utility/<int:pk>/file/", views.line_file, name="utility-file"),
]
