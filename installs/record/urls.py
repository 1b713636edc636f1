from django.urls import path

from installs.record import views

urlpatterns = [
    path("people/log/", views.firm_log, name="firm-log"),
    path("people/log/csv/", views.firm_log_csv, name="firm-log-csv"),
]
