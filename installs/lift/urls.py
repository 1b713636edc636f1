from django.urls import path

from installs.lift import views
from installs.lift.models import TOWER_LIFT, TURBINE_LIFT

urlpatterns = [
    path("", views.page, {"which": TOWER_LIFT}, name="lift"),
    path("sign/", views.sign, {"which": TOWER_LIFT}, name="lift-sign"),
    path("turbine/", views.page, {"which": TURBINE_LIFT}, name="turbine-lift"),
    path("turbine/sign/", views.sign, {"which": TURBINE_LIFT}, name="turbine-lift-sign"),
    path("signed/<int:pk>/", views.signed_sheet, name="lift-signed-sheet"),
]
