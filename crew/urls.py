from django.urls import path

from crew.days import views as days
from crew.morning import views as morning
from crew.phone import api, offline, phones
from crew.phone import views as phone
from crew.phone.lift_card import lift_card
from crew.phone.pour import pour_card
from crew.phone.pour_day import pour_day_card
from crew.phone.torque import torque_log

urlpatterns = [
    path("", phone.home, name="home"),
    path("look-ahead/", morning.look_ahead, name="look-ahead"),
    path("look-ahead/live/", morning.look_ahead_live, name="look-ahead-live"),
    path("next-day/", morning.next_day, name="next-day"),
    path("crew-days/", days.crew_days, name="crew-days"),
    path("crew-days/live/", days.crew_days_live, name="crew-days-live"),
    path("crew-days/plans/", days.plans, name="plans"),
    path("crew-days/issue/", days.issue, name="plan-issue"),
    path("crew-days/crews/add/", days.crew, name="crew-add"),
    path("crew-days/crews/<int:pk>/", days.crew, name="crew"),
    path("crew-days/absences/add/", days.absence, name="absence-add"),
    path("crew-days/<int:pk>/", days.crew_day, name="crew-day"),
    path("day/", phone.day_sheet, name="day-sheet"),
    path("day/<str:number>/list/<str:key>/", phone.checklist, name="phone-list"),
    path("day/<str:number>/pour/", pour_card, name="pour-card"),
    path("day/<str:number>/pour/day/", pour_day_card, name="pour-day"),
    path("day/<str:number>/torque/", torque_log, name="torque-log"),
    path("day/<str:number>/lift-card/<str:which>/", lift_card, name="lift-card"),
    path("day/<str:number>/phase/<str:key>/", phone.phase, name="phase"),
    path("phones/", phones.phones, name="phones"),
    path("phones/<int:pk>/end/", phones.phone, name="phone-end"),
    path("sw.js", offline.service_worker, name="service-worker"),
    path("manifest.webmanifest", offline.web_manifest, name="web-manifest"),
    path("api/hello/", offline.hello, name="api-hello"),
    path("api/entries/", api.entries, name="api-entries"),
    path("api/photos/", api.photos, name="api-photos"),
    path("api/jobs/<str:number>/gates/", api.gates, name="api-gates"),
]
