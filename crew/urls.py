from django.urls import path

from crew.cranes import views as cranes
from crew.days import away_views as away
from crew.days import day_views as one_day
from crew.days import sheet_views as sheets
from crew.days import views as days
from crew.days.chain_views import chain
from crew.feeds import views as feeds
from crew.morning import views as morning
from crew.phone import api, offline, phones
from crew.phone import views as phone
from crew.phone.emergency import emergency_card
from crew.phone.lift_card import lift_card
from crew.phone.pour import pour_card
from crew.phone.pour_day import pour_day_card
from crew.phone.stop import stop_work
from crew.phone.torque import torque_log
from crew.solver import chance_views as chances
from crew.solver import views as solver

urlpatterns = [
    path("", phone.home, name="home"),
    path("look-ahead/", morning.look_ahead, name="look-ahead"),
    path("look-ahead/live/", morning.look_ahead_live, name="look-ahead-live"),
    path("next-day/", morning.next_day, name="next-day"),
    path("crew-days/", days.crew_days, name="crew-days"),
    path("crew-days/live/", days.crew_days_live, name="crew-days-live"),
    path("crew-days/wall/", sheets.wall, name="crew-days-wall"),
    path("crew-days/days.csv", sheets.days_csv, name="crew-days-csv"),
    path("crew-days/plans/", days.plans, name="plans"),
    path("crew-days/issue/", days.issue, name="plan-issue"),
    path("crew-days/crews/add/", days.crew, name="crew-add"),
    path("crew-days/crews/<int:pk>/", days.crew, name="crew"),
    path("crew-days/chain/", chain, name="crew-chain"),
    path("crew-days/absences/add/", away.absence, name="absence-add"),
    path("crew-days/absences/<int:pk>/", away.back, name="absence-back"),
    path("crew-days/instead/<int:pk>/", away.instead, name="crew-instead"),
    path("crew-days/closed/add/", away.closed, name="site-closed"),
    path("crew-days/closed/<int:pk>/open/", away.opened, name="site-opened"),
    path("tentative-plans/", solver.plans, name="tentative-plans"),
    path("tentative-plans/repair/", solver.repair, name="tentative-repair"),
    path("tentative-plans/promised/", solver.promise, name="date-promised"),
    path("tentative-plans/<int:pk>/", solver.plan, name="tentative-plan"),
    path("tentative-plans/<int:pk>/state/", solver.state, name="tentative-state"),
    path("tentative-plans/<int:pk>/stop/", solver.stop, name="tentative-stop"),
    path("tentative-plans/<int:pk>/again/", solver.again, name="tentative-again"),
    path("tentative-plans/<int:pk>/put-down/", solver.put_down, name="tentative-put-down"),
    path("chances/", chances.chances, name="chances"),
    path("chances/<int:pk>/", chances.chance, name="chance"),
    path("chances/<int:pk>/state/", chances.state, name="chance-state"),
    path("crew-days/<int:pk>/", one_day.crew_day, name="crew-day"),
    path("crew-days/<int:pk>/strike/", one_day.strike, name="crew-day-strike"),
    path("crew-days/<int:pk>/blown-off/", one_day.blown_off, name="crew-day-blown-off"),
    path("crew-days/<int:pk>/who/", one_day.who, name="crew-day-who"),
    path("crew-days/<int:pk>/worked/", one_day.worked, name="crew-day-worked"),
    path("crane-bookings/", cranes.bookings, name="crane-bookings"),
    path("crane-bookings/<int:pk>/confirm/", cranes.confirm, name="crane-confirm"),
    path("crane-bookings/<int:pk>/cancel/", cranes.cancelled, name="crane-cancel"),
    path("calendars/", feeds.feeds, name="feeds"),
    path("calendars/<int:pk>/end/", feeds.feed_end, name="feed-end"),
    path("calendar/<str:token>.ics", feeds.feed, name="feed"),
    path("day/", phone.day_sheet, name="day-sheet"),
    path("day/<str:number>/list/<str:key>/", phone.checklist, name="phone-list"),
    path("day/<str:number>/pour/", pour_card, name="pour-card"),
    path("day/<str:number>/pour/day/", pour_day_card, name="pour-day"),
    path("day/<str:number>/torque/", torque_log, name="torque-log"),
    path("day/<str:number>/lift-card/<str:which>/", lift_card, name="lift-card"),
    path("day/<str:number>/emergency/", emergency_card, name="emergency-card"),
    path("day/<str:number>/stop/", stop_work, name="stop-work"),
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
