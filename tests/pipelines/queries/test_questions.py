"""Each question is answered from the published tables, in a stated order."""

import pytest

from pipelines import queries


def test_seasons_are_listed_latest_first(practice):
    assert queries.seasons(practice) == [2026, 2025, 2024]  # of 2024 a register line alone, which waits


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
        ({"find": "farm f2"}, {"F2"}),
        ({"find": "f3"}, {"F3"}),
        ({"find": "%"}, set()),
        ({"system": "lowland", "stage": "pre-tupping"}, {"F1", "F2"}),
    ],
)
def test_the_call_list_keeps_what_is_chosen(practice, chosen, farms):
    asked = queries.Chosen(**chosen)
    assert set(queries.call_list(practice, 2026, asked)["farm"]) == farms
    assert queries.call_count(practice, 2026, asked) == len(farms)


def test_the_call_list_is_read_page_by_page(practice):
    every = queries.Chosen()
    assert queries.call_page(practice, 2026, every, 2, 0)["urgency"].tolist() == [1, 2]
    assert queries.call_page(practice, 2026, every, 2, 2)["urgency"].tolist() == [3]


def test_the_overview_counts_the_call_list(practice):
    calls = queries.call_list(practice, 2026)
    overview = queries.overview(practice, 2026)
    assert overview.statuses == calls["status"].value_counts().to_dict()
    assert overview.stages == calls["stage"].value_counts().to_dict()
    assert (overview.groups, overview.widest) == (("North",), calls["thin_share_high"].max())
    assert sum(queries.overview(practice, 2026, "hill").statuses.values()) == 1


def test_a_farms_call_and_past_seasons_are_read_alone(practice):
    assert queries.farm_call(practice, "F2", 2026)["farm"].tolist() == ["F2"]
    past = queries.farm_past(practice, "F1")
    assert past["season"].is_monotonic_decreasing and past["season"].is_unique
    assert set(past["group"]) == {"ALL"} and "place" not in past


def test_files_needing_attention_come_first_page_by_page(practice):
    listed = queries.file_list(practice)
    assert listed["status"].iloc[0] == "refused"
    pages = [queries.file_page(practice, None, None, 1, after)["file"].item() for after in range(len(listed))]
    assert pages == listed["file"].tolist()
    assert queries.file_count(practice, "refused", None) == (listed["status"] == "refused").sum()
    assert queries.file_list(practice, find="EMPTY")["file"].tolist() == ["empty.csv"]


def test_all_files_are_told_in_figures(practice):
    files, figures = queries.files(practice), queries.file_figures(practice)
    assert figures.statuses == files["status"].value_counts().to_dict()
    assert figures.taken == files["rows_accepted"].sum()
    assert figures.waiting == files["rows_waiting"].sum() > 0
    assert figures.refused + figures.waiting == files["rows_refused"].sum()


def test_the_first_problems_of_a_file_say_how_many_there_are(practice):
    problems = queries.problems(practice)
    worst = problems["file"].value_counts()
    shown = queries.first_problems(practice, worst.index.tolist(), 1)
    assert shown["file"].is_unique
    assert shown.set_index("file")["problems"].to_dict() == worst.to_dict()


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


def test_the_thinnest_ewes_come_first_when_not_all_are_wanted(practice):
    every = queries.farm_ewes(practice, "F1", 2026)
    some = queries.farm_thinnest_ewes(practice, "F1", 2026, 1)
    assert some["score"].tolist() == [every["score"].min()]
    assert some["found"].tolist() == [len(every)]
