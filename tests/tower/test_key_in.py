"""The paper torque log keyed in joint by joint: all lines or none, never twice, nothing typed is lost."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest
from django.template.loader import render_to_string
from django.urls import reverse

from installs.checklists.services import chain_faults
from installs.jobs.services import add_member, release_design
from installs.papers.freezing import frozen, thawed
from installs.tower.by_hand import torque_pages
from installs.tower.review import review
from installs.tower.sheets import torque_log_sheet
from installs.tower.torque_log import CHECK_CODE, PASS_CODES, load_torque
from sitecalc.wording import day_words
from tests.make import AT, make_person
from tests.tower.make_tower import give_turbine, make_tower, sections, splice

pytestmark = pytest.mark.django_db
BOLTS = [f"{leg}{n}" for leg in "ABCD" for n in range(1, 7)]  # joint 1 of the test tower


def strokes(bolts=BOLTS):
    return {f"bolt_{bolt}_done": "on" for bolt in bolts}


PASSES = {"pass_1_clock": "0910", "pass_2_clock": "9:41", "pass_3_clock": "10:05"}


# one bolt through the whole of it: a new one starts at the first pass
NEW_BOLT = {
    "own_1_bolt": "B4", "own_1_step": "3", "own_1_what": "kept turning", "own_1_clock": "10:20",
    "own_2_bolt": "B4", "own_2_step": "3", "own_2_what": "new bolt", "own_2_clock": "10:41",
    "own_3_bolt": "B4", "own_3_step": "1", "own_3_what": "torqued", "own_3_clock": "10:43",
    "own_4_bolt": "B4", "own_4_step": "2", "own_4_what": "torqued", "own_4_clock": "10:46",
    "own_5_bolt": "B4", "own_5_step": "3", "own_5_what": "torqued", "own_5_clock": "10:50",
}  # fmt: skip


def check(person, **more):
    said = {"bolts": "A1 b4, C3", "clock": "11:30", "wrench": "W-07", "who": str(person.pk), **more}
    return {f"check_1_{name}": value for name, value in said.items()}


def told(job):
    """What stands of the entries: code, subject, number, time at the site."""
    return [
        (e.code, e.subject, e.number, job.local(e.taken_at).strftime("%H:%M"))
        for e in job.entries.order_by("sequence")
    ]


def joint(job):
    return load_torque([job])[job.pk].joints[0]


def test_an_early_pass_is_one_entry_of_the_joint_with_its_exceptions(paper, job, office, crew, yesterday):
    assert paper(pass_2_clock="9:41", pass_2_turned="b4, C1").status_code == 302
    entry = job.entries.get()
    target = joint(job).joint.passes[1].torque_ft_lb
    assert (entry.code, entry.subject) == ("F08", "joint 1 pass 2")
    assert (entry.number, entry.unit) == (target, "ft-lb")
    assert entry.data == {
        "from_paper": True, "by": crew["ben"].pk, "wrench": "W-07", "failed": ["B4", "C1"], "torqued": 22,
    }  # fmt: skip
    assert job.local(entry.taken_at).date() == yesterday
    assert (entry.person, entry.text) == (office, "Written by Ben Osgood.")


def test_the_last_pass_is_one_entry_a_bolt_each_at_its_own_time_or_its_lines(paper, job):
    paper(pass_3_clock="10:05", bolt_A1_done="on", bolt_A2_done="on", bolt_A2_clock="10:11")
    target = joint(job).joint.last_pass.torque_ft_lb
    assert told(job) == [
        ("F09", "joint 1 pass 3 bolt A1", target, "10:05"),
        ("F09", "joint 1 pass 3 bolt A2", target, "10:11"),
    ]


def test_a_whole_joint_by_one_clerk_is_complete_with_the_second_persons_check(paper, job, crew, client):
    answer = paper(**PASSES, **strokes(), **check(crew["kit"]))
    state = joint(job)
    assert state.complete, state.open
    assert (state.checked_by, [p.full_name for p in state.keyed_in_by]) == ((crew["kit"],), ["Alma Reyes"])
    assert job.entries.count() == 2 + len(BOLTS) + 1
    assert chain_faults(job) == []
    assert "Joint 1 is complete." in client.get(answer["Location"]).content.decode()
    page = client.get(reverse("tower-torque", args=[job.number])).content.decode()
    assert "Checked by Kit Moran, on paper keyed in by Alma Reyes." in page


def test_a_check_by_who_torqued_is_recorded_and_leaves_the_joint_open(paper, job, crew, client):
    answer = paper(**PASSES, **strokes(), **check(crew["ben"]))
    assert job.entries.filter(code=CHECK_CODE).count() == 1
    assert "whoever torqued the joint does not check it" in joint(job).open
    assert "Joint 1 is open: whoever torqued" in client.get(answer["Location"]).content.decode()


def test_what_is_left_empty_is_of_the_line_above_from_the_head_downward(paper, job, crew, yesterday):
    before = yesterday - timedelta(days=1)
    paper(
        on=before.isoformat(), pass_1_clock="16:00",
        pass_2_clock="9:41", pass_2_on=yesterday.isoformat(), pass_2_wrench="w-02", pass_2_who=crew["kit"].pk,
        pass_3_clock="10:05", bolt_A1_done="on",
    )  # fmt: skip
    found = [
        (job.local(e.taken_at).date(), e.data["wrench"], e.data["by"])
        for e in job.entries.order_by("sequence")
    ]
    ben, kit = crew["ben"].pk, crew["kit"].pk
    assert found == [(before, "W-07", ben), (yesterday, "W-02", kit), (yesterday, "W-02", kit)]


def test_a_bolt_that_kept_turning_is_made_good_by_a_new_one_and_a_check_of_all(paper, job, crew):
    lines = {**NEW_BOLT, "own_1_bolt": "b4"}
    others = [bolt for bolt in BOLTS if bolt != "B4"]
    paper(**PASSES, **strokes(others), **{k: v for k, v in lines.items() if k.startswith("own_1")})
    assert joint(job).failed == ("B4",)
    paper(**lines, **check(crew["kit"], bolts="A1 B4"))
    assert joint(job).open == ("second check of all its bolts since then not recorded",)
    paper(**check(crew["kit"], bolts="all", clock="11:45"))
    assert joint(job).complete


def test_the_log_of_a_finished_joint_prints_date_wrench_and_person_of_all_that_was_recorded(
    paper, job, revision, crew, yesterday
):
    """Who torqued what, when and with what; of a new bolt too (common practice, no source)."""
    paper(**PASSES, **strokes([b for b in BOLTS if b != "B4"]), **NEW_BOLT, **check(crew["kit"], bolts="all"))
    (first, *_) = torque_log_sheet(job, revision)["joints"]
    on, by = day_words(yesterday, year=True), crew["ben"].full_name
    early, last = first["passes"][0]["told"], first["passes"][-1]["told"]
    for each in (*early, *last, *first["own"], *first["checks"]):  # keyed in the day after, and says so
        each["when"], _, late = each["when"].partition("; received ")
        assert late
    assert early == [{"when": f"{on}, 9:10 AM to 10:43 AM", "wrench": "W-07", "by": by}]
    assert last == [{"when": f"{on}, 10:05 AM to 10:50 AM", "wrench": "W-07", "by": by}]
    at = [
        (3, "kept turning", "10:20 AM"), (3, "new bolt", "10:41 AM"),
        (1, "torqued", "10:43 AM"), (2, "torqued", "10:46 AM"), (3, "torqued", "10:50 AM"),
    ]  # fmt: skip
    assert first["own"] == [
        {"bolt": "B4", "step": step, "what": what, "when": f"{on}, {clock}", "wrench": "W-07", "by": by}
        for step, what, clock in at
    ]
    (seen,) = first["checks"]
    assert (seen["bolts"], seen["when"], seen["by"]) == ("all 24", f"{on}, 11:30 AM", crew["kit"].full_name)
    kept = thawed(json.loads(json.dumps(frozen(torque_log_sheet(job, revision)))))  # as a paper prints it
    printed = render_to_string("installs/tower/_paper_torque_log.html", kept)
    assert printed.count(f"{on}, 10:41 AM") == 1 and not list(first["own_lines"])


def test_a_bolt_that_moved_under_the_check_is_torqued_again(paper, job, crew):
    paper(**PASSES, **strokes(), **check(crew["kit"], bolts="A1", moved="B2"))
    assert joint(job).next == (3, "B2")


def test_another_torque_or_wrench_than_wanted_is_recorded_and_said_not_to_count(paper, job, client):
    answer = paper(
        **PASSES, pass_3_torque="240", bolt_A1_done="on",
        own_1_bolt="A2", own_1_what="torqued", own_1_clock="10:30", own_1_wrench="X-1",
    )  # fmt: skip
    page = client.get(answer["Location"]).content.decode()
    assert "recorded at 240.0 ft-lb" in page
    assert "wrench X-1 is not known (A2)" in page
    assert job.entries.filter(code="F09").count() == 2


def test_the_same_joint_again_records_nothing_twice_and_says_so(paper, job, crew, client):
    lines = {**PASSES, **strokes(), **check(crew["kit"])}
    paper(**lines)
    answer = paper(**lines, own_1_bolt="A1", own_1_what="torqued", own_1_clock="12:00")
    assert job.entries.count() == 2 + len(BOLTS) + 1 + 1
    assert "1 line recorded from the paper. 27 were on record already." in (
        client.get(answer["Location"]).content.decode()
    )


def test_another_wrench_at_the_same_time_is_refused_at_its_line_and_none_is_taken(paper, job):
    paper(**PASSES, **strokes())
    count = job.entries.count()
    answer = paper(pass_2_clock="9:41", pass_2_wrench="W-02", own_1_bolt="A1", own_1_what="new bolt",
                   own_1_clock="13:00")  # fmt: skip
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "On record already for this time, with other content" in page
    assert 'Look at <a href="#line-pass-2">pass 2</a>.' in page
    assert job.entries.count() == count


OWN = {"own_1_bolt": "B4", "own_1_what": "torqued", "own_1_clock": "10:30"}
CHECK = {"check_1_bolts": "A1", "check_1_clock": "11:00", "check_1_wrench": "W-07"}
BAD = [
    ({"pass_2_turned": "E9", "pass_2_clock": "9:41"}, "There is no bolt E9 in this joint."),
    ({"pass_2_turned": "B4"}, "The time from the paper."),
    ({"pass_2_clock": "25:00"}, "Write the time as 14:05"),
    ({"pass_2_clock": "9:41", "pass_2_torque": "0"}, "too small"),
    ({"pass_2_clock": "9:41", "pass_2_on": "2031-02-30"}, "Enter a valid date."),
    ({"pass_2_clock": "9:41", "wrench": ""}, "Which wrench?"),
    ({"pass_2_clock": "9:41", "by": ""}, "Who torqued it, by the paper?"),
    ({"pass_2_clock": "9:41", "on": "2099-01-01"}, "This day has not come yet."),
    ({"pass_2_clock": "9:41", "pass_2_on": "2098-01-01"}, "This time has not come yet."),
    ({"pass_2_clock": "9:41", "pass_2_who": "987654"}, "Select a valid choice"),
    ({"pass_2_clock": "9:41", "pass_2_note": "a\x00b"}, "cannot be printed"),
    ({"pass_3_clock": "10:05"}, "counts bolt by bolt"),
    ({"bolt_A1_done": "on"}, "The time from the paper."),
    ({"pass_3_clock": "10:05", "bolt_A2_clock": "10:11"}, "tick it, if it was torqued"),
    ({"pass_3_clock": "10:05", "bolt_A2_done": "on", "bolt_A2_clock": "soon"}, "Write the time as 14:05"),
    ({**OWN, "own_1_bolt": "A1 A2"}, "Which bolt? One a line."),
    ({**OWN, "own_1_what": ""}, "Kept turning, new bolt, or torqued?"),
    ({**OWN, "own_1_what": "new bolt", "own_1_torque": "255"}, "one of them is wrong"),
    ({**OWN, "own_2_bolt": "B4", "own_2_what": "new bolt", "own_2_clock": "1030"}, "give each its own"),
    ({**OWN, "own_1_step": "1", "own_1_torque": "255"}, "Pass 1 is snug: it has no torque."),
    (CHECK, "Who checked?"),
    ({**CHECK, "check_1_bolts": ""}, "Which bolts were checked?"),
    ({**CHECK, "check_1_wrench": ""}, "Checked with which wrench?"),
    ({}, "No line is filled in."),
]


@pytest.mark.parametrize(("bad", "words"), BAD, ids=[f"{n} {words}" for n, (_, words) in enumerate(BAD)])
def test_a_fault_is_said_at_its_field_keeps_the_good_lines_back_and_loses_nothing(paper, job, bad, words):
    good = {"pass_1_clock": "9:07", "pass_1_note": "twice"} if bad else {}
    answer = paper(**{**good, **bad})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert words in page
    assert not job.entries.exists()
    for name, value in {**good, **bad}.items():
        if name.endswith("_done"):
            assert f'name="{name.replace("_", "-")}" id="id_{name.replace("_", "-")}" checked' in page
        elif value and "\x00" not in value and not name.endswith(("_what", "_who", "_step", "by")):
            assert f'name="{name.replace("_", "-")}" value="{value}"' in page


def test_the_head_goes_on_to_the_next_joint_and_from_the_last_to_the_log(paper, job, crew, client, yesterday):
    answer = paper(1, pass_1_clock="9:10")
    page = client.get(answer["Location"]).content.decode()
    assert "Joint 2, splice at 40 ft" in page
    assert f'name="on" value="{yesterday.isoformat()}"' in page
    assert f'<option value="{crew["ben"].pk}" selected>Ben Osgood' in page
    assert 'name="wrench" value="W-07"' in page
    assert paper(2, pass_1_clock="9:20")["Location"] == reverse("tower-torque", args=[job.number])


def test_the_torque_log_and_the_assembly_list_lead_to_it_for_whoever_records(paper, job, office, client):
    path = reverse("torque-key-in", args=[job.number])
    log, lists = reverse("tower-torque", args=[job.number]), reverse("key-in", args=[job.number, "assembly"])
    assert path in client.get(log).content.decode()
    assert path in client.get(lists).content.decode()
    assert path not in client.get(reverse("key-in", args=[job.number, "cure"])).content.decode()
    engineer = make_person("Ida Lindqvist", "engineer")
    add_member(job, engineer, by=office, at=AT)
    client.force_login(engineer)
    assert path not in client.get(log).content.decode()
    assert client.get(path).status_code == 403


def test_every_torque_item_is_keyed_in_on_its_list_or_in_the_torque_log(paper, job, client):
    for kept in job.lists.prefetch_related("items"):
        page = client.get(reverse("key-in", args=[job.number, kept.key])).content.decode()
        for item in kept.items.all():
            if item.kind == "torque":
                on_the_list = f'id="line-{item.code}-1"' in page
                assert on_the_list == (item.code not in (*PASS_CODES, CHECK_CODE)), item.code


def test_without_a_released_tower_it_says_so(client, office, job):
    client.force_login(office)
    path = reverse("torque-key-in", args=[job.number])
    assert "Tower not released" in client.get(path).content.decode()
    assert client.post(path, {"on": "2031-05-05"}).status_code == 422


def test_the_page_has_the_lines_of_the_paper_in_its_order(paper, job, revision, client):
    sheet = torque_pages(job)[1]
    printed = render_to_string(sheet["inner"], sheet)
    page = client.get(f"{reverse('torque-key-in', args=[job.number])}?joint=2").content.decode()
    heads = ("Pass</th>", "A1</", "Kept turning, new bolt, torqued again", "Second checker")
    for text, marks in ((printed, heads), (page, (heads[0], *heads[2:]))):
        places = [text.find(head) for head in marks]
        assert -1 not in places
        assert places == sorted(places)
    lines = page.count('<tr id="line-own-') + page.count('<tr id="line-check-')
    assert len([*sheet["own_lines"], *sheet["check_lines"]]) == lines


def test_a_tubes_flange_is_one_panel_and_turn_of_nut_asks_no_wrench(client, office, job, crew, yesterday):
    give_turbine(job)
    bolts = [splice(n, grade="A325", tightening="turn of nut", grip_in=2.0, circle_in=40.0) for n in (12, 12)]
    walls = [{**s, "wall_in": 0.25, "leg_area_in2": None} for s in sections()]
    tower = make_tower(job, kind="tube", joints=bolts, sections=walls)
    found = review(tower)
    passed = [each for each in found.checks if each.passes]
    release_design(job, "tower", tower.inputs(), found.results, passed, by=office, at=AT)
    client.force_login(office)
    path = f"{reverse('torque-key-in', args=[job.number])}?joint=1"
    page = client.get(path).content.decode()
    assert page.count("<fieldset") == 1
    last = joint(job).joint.last_pass.number
    head = {"on": yesterday.isoformat(), "by": crew["ben"].pk}
    strokes = {f"bolt-{n}-done": "on" for n in range(1, 13)}
    early = {f"pass-{n}-clock": "9:00" for n in range(1, last + 1)}
    check = {"check-1-bolts": "3 11", "check-1-clock": "11:00", "check-1-who": crew["kit"].pk}
    assert client.post(path, {**head, **early, **strokes, **check}).status_code == 302
    assert joint(job).complete, joint(job).open
