"""The tower's design page: drafts kept, figures at their field."""

from __future__ import annotations

import pytest

from installs.jobs.old_page import page_of
from installs.tower.models import TowerDesign

pytestmark = pytest.mark.django_db


def posted(tower, **change):
    """The form as a browser sends it."""
    data = {"do": "look", "kind": tower.figures.kind}
    for name in ("condition", "first_pass", "edition", "anchor_bolts", "anchor_pattern_in", "moment_kip_ft",
                 "shear_kip", "reactions", "reactions_source", "spring_kip_ft_rad", "margin_percent",
                 "exposure", "solidity_percent", "plumb_percent"):  # fmt: skip
        data[name] = tower.value[name]
    for rows in ("sections", "joints"):
        for n, row in enumerate(tower.value[rows]):
            data |= {f"{rows}-{n}-{k}": "" if v is None else v for k, v in row.items()}
    return {**page_of(tower), **data, **change}


def test_page_without_a_tower_says_what_is_missing(client, office, job):
    client.force_login(office)
    answer = client.get(f"/jobs/{job.number}/tower/")
    assert answer.status_code == 200
    assert "are missing: lengths, widths, weights" in answer.content.decode()


def test_page_keeps_a_draft_and_redraws_without_keeping(client, office, tower):
    client.force_login(office)
    url = f"/jobs/{tower.job.number}/tower/"
    looked = client.post(url, posted(tower, shear_kip="3.5"), headers={"HX-Request": "true"})
    assert looked.status_code == 200
    assert "3.5 kip" in looked.content.decode()
    assert TowerDesign.objects.get().figures.shear_kip == 3.1
    assert client.post(url, posted(tower, do="keep", shear_kip="3.5")).status_code == 302
    assert TowerDesign.objects.get().figures.shear_kip == 3.5


@pytest.mark.parametrize(
    "change",
    [
        {"moment_kip_ft": "nan"},
        {"moment_kip_ft": "1e400"},
        {"sections-0-length_ft": "240"},
        {"sections-1-weight_lb": "schwer"},
        {"joints-0-bolts": "2.5"},
        {"joints-0-size": "13/16"},
        {"kind": "hyperboloid"},
        {"anchor_bolts": "0"},
        {"anchor_bolts": "99999999999999999999"},
        {"plumb_percent": "50"},
        {"sections-1-top_in": "90"},
    ],
)
def test_bad_figures_come_back_with_a_message_and_nothing_is_kept(client, office, tower, change):
    client.force_login(office)
    answer = client.post(f"/jobs/{tower.job.number}/tower/", posted(tower, do="keep", **change))
    assert answer.status_code == 422
    assert "errorlist" in answer.content.decode()
    assert (
        next(iter(change.values())) in answer.content.decode()
        or "kind" in change
        or "joints-0-size" in change
    )
    assert TowerDesign.objects.get().inputs() == tower.inputs()
