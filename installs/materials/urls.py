from django.urls import path

from installs.materials import views

urlpatterns = [
    path("people/prices/", views.prices, name="prices"),
    path("people/prices/<int:pk>/withdraw/", views.price_withdraw, name="price-withdraw"),
    path("jobs/<str:number>/materials/", views.materials, name="materials"),
    path("jobs/<str:number>/materials/materials.csv", views.as_file, name="materials-csv"),
    path("jobs/<str:number>/materials/prices/", views.job_prices, name="job-prices"),
    path("jobs/<str:number>/materials/valuation/", views.valuation, name="valuation-add"),
]
