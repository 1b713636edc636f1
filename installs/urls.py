"""Root urls: the roof. Each room adds one line."""

from django.urls import include, path

from installs.book.views import first_day, jobs

handler400 = "installs.work.faults.bad_request"
handler403 = "installs.work.faults.forbidden"
handler404 = "installs.work.faults.not_found"
handler500 = "installs.work.faults.server_error"

urlpatterns = [
    path("", include("installs.people.urls")),
    path("", include("installs.firm.urls")),
    path("", include("installs.kits.urls")),
    path("", include("installs.jobs.urls")),
    path("", include("installs.equipment.urls")),
    path("", include("installs.turbine.catalogue_urls")),
    path("", include("installs.record.urls")),
    path("jobs/", jobs, name="jobs"),
    path("first-day/", first_day, name="first-day"),
    path("", include("installs.work.urls")),
    path("", include("installs.papers.urls")),
    path("", include("crew.urls")),
    path("jobs/<str:number>/", include("installs.book.urls")),
    path("jobs/<str:number>/", include("installs.export.urls")),
    path("jobs/<str:number>/", include("installs.checklists.urls")),
    path("jobs/<str:number>/", include("installs.permits.urls")),
    path("jobs/<str:number>/", include("installs.inspection.urls")),
    path("", include("installs.utility.urls")),
    path("", include("installs.materials.urls")),
    path("jobs/<str:number>/emergency/", include("installs.emergency.urls")),
    # parts: one line each, "jobs/<str:number>/<part>/"
    path("jobs/<str:number>/ground-station/", include("installs.ground_station.urls")),
    path("jobs/<str:number>/foundation/", include("installs.foundation.urls")),
    path("jobs/<str:number>/tower/", include("installs.tower.urls")),
    path("jobs/<str:number>/lift/", include("installs.lift.urls")),
    path("jobs/<str:number>/turbine/", include("installs.turbine.urls")),
    path("jobs/<str:number>/pour/", include("installs.pour.urls")),
    path("jobs/<str:number>/site/", include("installs.site.urls")),
]
