from django.urls import path

from crew import views
from crew.phone import api
from crew.phone import views as phone

urlpatterns = [
    path("", views.home, name="home"),
    path("day/", phone.day_sheet, name="day-sheet"),
    path("day/<str:number>/list/<str:key>/", phone.checklist, name="phone-list"),
    path("day/<str:number>/phase/<str:key>/", phone.phase, name="phase"),
    path("api/entries/", api.entries, name="api-entries"),
    path("api/photos/", api.photos, name="api-photos"),
    path("api/jobs/<str:number>/gates/", api.gates, name="api-gates"),
]
