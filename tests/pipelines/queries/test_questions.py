"""Each question is answered from the published tables, in a stated order."""

import pytest

from pipelines import queries


def test_seasons_are_listed_latest_first(practice):
    assert queries.seasons(practice) == [2026, 2025]


def test_the_current_season_is_the_one_worked_for(practice):
    assert queries.current_season(practice) == 2026


def test_the_publication_says_which_day_counts_as_today(practice):
    about = queries.about(practice)
    assert (str(about.as_of), about.thin_limit) == ("2026-08-20", 0.1)


def test_the_call_list_comes_most_urgent_first(practice):
    calls = queries.call_list(practice, 2026)
    assert calls["urgency"].tolist() == [1, 2, 3]


@pytest.mark.parametrize(
    ("chosen", "farms"),
    [
        ({"system": "hill"}, {"F3"}),
        ({"discussion_group": "North"}, {"F1", "F2", "F3"}),
        ({"discussion_group": "South"}, set()),
        ({"stage": "tupping"}, set()),
        ({"status": "not scored"}, set()),
        ({"system": "lowland", "stage": "pre-tupping"}, {"F1", "F2"}),
    ],
)
def test_the_call_list_keeps_what_is_chosen(practice, chosen, farms):
    assert set(queries.call_list(practice, 2026, **chosen)["farm"]) == farms


def test_farms_have_code_and_name(practice):
    assert queries.farms(practice).to_dict("list") == {
        "code": ["F1", "F2", "F3"],
        "name": ["Farm F1", "Farm F2", "Farm F3"],
    }


def test_a_farm_is_found_by_its_code(practice):
    farm = queries.farm(practice, "F3")
    assert farm is not None
    assert (farm.code, farm.name, farm.system, farm.discussion_group) == ("F3", "Farm F3", "hill", "North")
    assert queries.farm(practice, "F9") is None


def test_a_farms_season_has_its_sessions_scores_readiness_and_ewes(practice):
    assert queries.farm_sessions(practice, "F1", 2026)["group"].tolist() == ["A", "ALL"]
    assert queries.farm_distribution(practice, "F1", 2026)["ewes"].sum() == 10
    assert queries.farm_readiness(practice, "F1", 2026)["group"].tolist() == ["A", "ALL"]
    assert queries.farm_ewes(practice, "F1", 2026)["score"].is_monotonic_increasing
    assert len(queries.farm_ewe_history(practice, "F1")) == 20


def test_farms_are_compared_within_their_system(practice):
    sessions = queries.compare_sessions(practice, 2026, "pre-tupping", "lowland")
    assert sessions["farm"].tolist() == ["F1", "F2"]
    assert {"name", "discussion_group", "rams_in", "on_target_low"} <= set(sessions)
    scores = queries.compare_distribution(practice, 2026, "pre-tupping", "lowland")
    assert scores.groupby("farm")["ewes"].sum().to_dict() == {"F1": 10, "F2": 10}


def test_the_funnel_shows_one_system_or_all(practice):
    assert len(queries.funnel_points(practice, 2026, "pre-tupping")) == 3
    assert queries.funnel_points(practice, 2026, "pre-tupping", "hill")["farm"].tolist() == ["F3"]
    assert queries.funnel_points(practice, 2026, "scanning").empty


def test_problems_are_listed_for_one_file_or_all(practice):
    assert queries.problems(practice, "empty.csv")["code"].tolist() == ["empty_file"]
    assert len(queries.problems(practice)) > 1
