from django.urls import path

from installs.jobs import views

urlpatterns = [
    path("jobs/", views.jobs, name="jobs"),
    path("jobs/open/", views.open_job, name="job-open"),
    path("jobs/<str:number>/edit/", views.edit, name="job-edit"),
    path("jobs/<str:number>/archive/", views.archive, name="job-archive"),
    path("jobs/<str:number>/deviations/<int:deviation>/answer/", views.answer, name="deviation-answer"),
    path("jobs/<str:number>/releases/<str:part>/stands/", views.stands, name="release-stands"),
    path(
        "jobs/<str:number>/confirmations/<int:pk>/letter/",
        views.confirmation_letter,
        name="confirmation-letter",
    ),
]
