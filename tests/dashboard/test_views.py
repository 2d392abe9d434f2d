"""What the pages say, from small hand-made frames; the words expected are written out here."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pandas as pd
import pytest
from dash import dcc, html
from dash.development.base_component import Component

from dashboard.comparison import Compare
from dashboard.data import FarmPage, Files, Flocks
from dashboard.views import compare as compare_view
from dashboard.views import (
    farm,
    farm_ewes,
    farm_readiness,
    farm_scores,
    farm_take_along,
    missing,
    tour,
)
from dashboard.views import files as files_view
from dashboard.views import flocks as flocks_view
from dashboard.views.state import CompareState, FarmState, FilesState, FlocksState
from pipelines.queries import FileFigures

Text = Callable[[object], str]
Parts = Callable[[object], list[Component]]


@pytest.fixture
def pages(flocks: Flocks, farm_page: FarmPage, compare: Compare, files: Files) -> dict[str, list[Component]]:
    return {
        "flocks": flocks_view.page(FlocksState(), flocks),
        "farm": farm.page("F1", FarmState(), farm_page),
        "compare": compare_view.page(CompareState(), compare),
        "files": files_view.page(FilesState(), files),
        "missing": missing.page(),
    }


def test_every_page_has_one_main_heading(pages: dict[str, list[Component]], parts_of: Parts) -> None:
    for name, page in pages.items():
        assert len([part for part in parts_of(page) if isinstance(part, html.H1)]) == 1, name


def test_no_page_shows_a_blank_or_nan(pages: dict[str, list[Component]], text_of: Text) -> None:
    for name, page in pages.items():
        said = text_of(page)
        assert not [bad for bad in ("nan", "NaN", "None", "NaT") if bad in said.split()], name


def test_pages_that_suggest_decisions_carry_the_caution(
    pages: dict[str, list[Component]], text_of: Text
) -> None:
    for name in ("flocks", "farm", "compare"):
        assert "they do not diagnose" in text_of(pages[name])


def test_every_picture_is_described_and_can_be_kept(
    pages: dict[str, list[Component]], parts_of: Parts
) -> None:
    for page in pages.values():
        for figure in [part for part in parts_of(page) if isinstance(part, html.Figure)]:
            inside = parts_of(figure)
            assert [
                part for part in inside if getattr(part, "role", "") == "img" and getattr(part, "aria-label")
            ]
            assert [part for part in inside if isinstance(part, html.A) and part.href.startswith("/save/")]
            assert [part for part in inside if isinstance(part, html.Button)]


def test_the_call_list_gives_the_reason_in_words(flocks: Flocks, text_of: Text) -> None:
    said = text_of(flocks_view.page(FlocksState(), flocks))
    assert "41 of 180 thin; needs 56 days, 63 left." in said
    assert "23 % thin (18–29 %), 180 scored 3 Aug" in said.replace("  ", " ")


def test_the_call_list_is_a_table_with_named_columns(flocks: Flocks, parts_of: Parts, text_of: Text) -> None:
    tables = [
        part for part in parts_of(flocks_view.page(FlocksState(), flocks)) if isinstance(part, html.Table)
    ]
    (table,) = tables
    rows = [part for part in parts_of(table) if isinstance(part, html.Tr)]
    assert text_of(rows[0]) == "Status Flock Why Share thin Time left"
    assert {len(row.children) for row in rows} == {5}
    assert [text_of(part)[:10] for part in parts_of(rows[1]) if getattr(part, "scope", "") == "row"] == [
        "High Lathe"
    ]


def test_the_tour_leads_to_the_pages_it_tells_of(parts_of: Parts, text_of: Text) -> None:
    ways = {part.href for part in parts_of(tour.page()) if isinstance(part, dcc.Link)}
    assert ways == {"/", "/compare", "/files"}
    assert "they do not diagnose" in text_of(tour.page())


def test_a_practice_without_data_is_told_the_first_steps(text_of: Text) -> None:
    empty = (
        flocks_view.page(FlocksState(), None),
        compare_view.page(CompareState(), None),
        files_view.page(FilesState(), None),
    )
    for page in empty:
        said = text_of(page)
        assert "tupping import FOLDER" in said and "tupping demo" in said and "take the tour" in said


def test_one_flock_alone_is_not_set_against_itself(flocks: Flocks, compare: Compare, text_of: Text) -> None:
    said = text_of(flocks_view.page(FlocksState(), replace(flocks, points=flocks.points.head(1))))
    assert "1 flock scored at" in said and "of its ewes were thin" in said and "None has more" not in said
    spotless = replace(compare, sessions=compare.sessions.assign(thin_share=0.0))
    assert "Thin are none on the middle farm, none in the best quarter" in text_of(
        compare_view.page(CompareState(), spotless)
    )
    alone = replace(compare, sessions=compare.sessions.head(1))
    said = text_of(compare_view.page(CompareState(), alone))
    assert "There is nothing yet to compare it with." in said and "quarter have" not in said


def test_a_flock_counted_without_tags_says_how_many_ewes_are_meant(
    farm_page: FarmPage, text_of: Text
) -> None:
    whole = farm_page.readiness[farm_page.readiness["group"] == "ALL"].head(1)
    counted = replace(farm_page, ewes=farm_page.ewes.head(0), readiness=whole.assign(ewes_to_gain=82))
    said = text_of(farm_ewes.section("F1", FarmState(), counted))
    assert "Not known by tag: the 82 ewes that must gain." in said and "without tags" in said
    none = replace(counted, readiness=whole.assign(ewes_to_gain=0))
    assert "No ewe was thin when last scored." in text_of(farm_ewes.section("F1", FarmState(), none))


def test_the_head_line_counts_flocks_in_words(flocks: Flocks, text_of: Text, parts_of: Parts) -> None:
    head = flocks_view.headline(FlocksState(system="hill"), flocks.overview)
    assert "1  needs action now" in text_of(head)
    links = [part.href for part in parts_of(head) if isinstance(part, dcc.Link)]
    assert links[0] == "/?system=hill&status=act+now"


def test_a_long_list_says_where_it_stands_and_leads_on(
    flocks: Flocks, parts_of: Parts, text_of: Text
) -> None:
    many = replace(flocks, calls=pd.concat([flocks.calls.head(1)] * 50), found=2_000)
    page = flocks_view.page(FlocksState(page=3), many)
    ways = {str(part.children): part.href for part in parts_of(page) if isinstance(part, dcc.Link)}
    assert "101–150 of 2,000" in text_of(page)
    assert ways["Show the next: 4"] == "/?page=4"
    assert (ways["1"], ways["40"]) == ("/", "/?page=40")
    assert "6" not in ways


def test_a_list_on_one_page_needs_no_ways(flocks: Flocks, parts_of: Parts) -> None:
    assert not [
        part for part in parts_of(flocks_view.page(FlocksState(), flocks)) if isinstance(part, html.Nav)
    ]


def test_an_empty_practice_is_told_what_to_do(text_of: Text) -> None:
    assert "tupping import" in text_of(flocks_view.page(FlocksState(), None))


def test_filters_that_fit_nothing_say_how_to_go_on(flocks: Flocks, text_of: Text) -> None:
    none = replace(flocks, calls=flocks.calls.head(0), found=0)
    assert "see all flocks" in text_of(flocks_view.page(FlocksState(find="zzz"), none))


def test_readiness_is_said_with_its_range(farm_page: FarmPage, text_of: Text) -> None:
    said = text_of(farm_readiness.section("F1", FarmState(), farm_page))
    assert "71 % likely ready  by 22 Oct, between 61 % and 78 %." in said
    assert (
        "41 ewes must gain; the middle one needs 26 days on best grazing, 63 left. 4 ewes unlikely in time."
        in said
    )


def test_a_group_that_cannot_be_projected_says_why(farm_page: FarmPage, text_of: Text) -> None:
    said = text_of(farm_readiness.section("F1", FarmState(), farm_page))
    assert "Cannot be projected because the rams went in before the session." in said


def test_the_whole_flock_comes_first_and_a_lone_group_is_not_repeated(sessions: pd.DataFrame) -> None:
    assert list(farm_readiness.shown(sessions)["group"]) == ["ALL", "Older ewes", "Shearlings"]
    assert list(farm_readiness.shown(sessions.head(2))["group"]) == ["ALL"]


def test_shares_carry_number_and_interval(farm_page: FarmPage, text_of: Text) -> None:
    said = text_of(farm_scores.shares("F1", FarmState(), farm_page))
    assert "180 ewes 23 % (18–29 %) 72 % (65–77 %) 6 % (4–10 %)" in said


def test_rows_of_the_spread_keep_every_ewe(farm_page: FarmPage) -> None:
    rows = farm_scores.labelled(farm_page.scores, farm_page.sessions)
    assert rows["ewes"].sum() == 180  # 80 shearlings and 100 older ewes in the fixture
    assert list(dict.fromkeys(rows["label"])) == [
        "Older ewes, 3 Aug (100 ewes)",
        "Shearlings, 3 Aug (80 ewes)",
    ]


def test_ewes_are_listed_with_all_digits_and_no_blank(ewes: pd.DataFrame, text_of: Text) -> None:
    (draw,) = farm_ewes.decided(ewes)
    assert [line.tags for line in draw.lines] == [("826012345600001",), ("826012345600002",)]
    assert [line.chance for line in draw.lines] == ["97\u00a0%", "not known"]


def test_ewes_of_whom_the_same_is_said_share_a_line(ewes: pd.DataFrame) -> None:
    twin = ewes.head(1).assign(ewe="826012345600077")
    (draw,) = farm_ewes.decided(pd.concat([ewes, twin]))
    assert draw.lines[0].tags == ("826012345600001", "826012345600077")
    assert draw.lines[1].tags == (ewes["ewe"].iloc[1],)


def test_a_group_and_a_decision_are_said_once_and_the_most_pressing_comes_first(
    farm_page: FarmPage, ewes: pd.DataFrame, text_of: Text
) -> None:
    over = ewes.head(1).assign(action="over", score=4.0)
    late = ewes.head(1).assign(action="unlikely in time", score=1.5)
    page = replace(farm_page, ewes=pd.concat([over, ewes, late]))
    assert [each.title for each in farm_ewes.decided(page.ewes)] == [
        "Unlikely in time",
        "Best grazing",
        "Over",
    ]
    said = text_of(farm_ewes.section("F1", FarmState(), page))
    assert said.count("Draw them") == said.count("Shearlings 2.25") == 1


def test_a_long_list_of_ewes_says_how_many_there_are(farm_page: FarmPage, text_of: Text) -> None:
    many = replace(farm_page, ewes=farm_page.ewes.assign(found=230, of_action=170))
    said = text_of(farm_ewes.section("F1", FarmState(), many))
    assert "Here are the 2 thinnest" in said and "170 ewes, 2 of them listed" in said
    assert "Here are" not in text_of(farm_ewes.section("F1", FarmState(), farm_page))


def test_a_season_without_scores_says_so_once(farm_page: FarmPage, text_of: Text) -> None:
    none = {name: getattr(farm_page, name).head(0) for name in ("sessions", "scores", "readiness", "ewes")}
    said = text_of(farm.page("F1", FarmState(), replace(farm_page, **none)))
    assert "Not scored before tupping in 2026. Score at weaning" in said
    assert "Which ewes" not in said and "Past seasons" in said


def test_a_date_that_is_past_is_not_counted_in_days(flocks: Flocks, text_of: Text) -> None:
    late = replace(flocks, as_of=date(2028, 1, 1))
    assert "ago" not in text_of(flocks_view.page(FlocksState(), late))


def test_an_unknown_farm_is_told_plainly(text_of: Text) -> None:
    said = text_of(farm.page("<b>", FarmState(), None))
    assert "There is no farm “<b>” here." in said


def test_a_farm_whose_code_is_written_otherwise_is_suggested(text_of: Text, parts_of: Parts) -> None:
    page = farm.page("briar", FarmState(), None, meant=[("BRIAR", "Briar Hill")])
    assert "Did you mean one of these?" in text_of(page)
    assert "/farm/BRIAR" in [part.href for part in parts_of(page) if isinstance(part, dcc.Link)]


def test_quartiles_count_each_farm_once(sessions: pd.DataFrame) -> None:
    farms = pd.concat([sessions.head(1)] * 5).assign(on_target_share=[0.1, 0.2, 0.3, 0.4, 0.5])
    middle = compare_view.quartiles(farms)
    assert (middle.lower, middle.median, middle.upper) == pytest.approx((0.2, 0.3, 0.4))


def test_farms_stand_best_first(compare: Compare) -> None:
    assert list(compare_view.share_rows(compare.sessions)["farm"]) == ["F2", "F1"]


def test_a_problem_is_placed_and_carries_its_remedy(files: Files, text_of: Text) -> None:
    said = text_of(files_view.page(FilesState(), files))
    assert "phone.csv:12:BCS" in said
    assert "A score lies between 1 and 5; look at the record and correct it." in said


def test_rows_that_wait_are_told_from_rows_refused(files: Files, text_of: Text) -> None:
    problem = files.problems.assign(code="unknown_farm", waits=1)
    row = files.files.head(1).assign(rows_accepted=0, rows_refused=30, rows_waiting=30, rows_read=30)
    figures = FileFigures({"imported_with_problems": 1}, 0, 0, 30)
    held = replace(files, files=row, problems=problem, figures=figures)
    said = text_of(files_view.page(FilesState(), held))
    assert "0 rows taken, 0 refused, 30 waiting." in said
    assert "0 of 30 rows taken · 30 rows wait" in said and "1 refused" not in said
    some = replace(held, files=row.assign(rows_refused=34), problems=problem.assign(errors=5, problems=7))
    assert "4 rows refused, 30 rows wait and 2 to check" in text_of(files_view.page(FilesState(), some))


def test_a_problem_of_the_whole_file_names_the_file_alone() -> None:
    assert files_view.place("a.csv", {"line": None, "column": None}) == "a.csv"
    assert files_view.place("a.csv", {"line": 3.0, "column": None}) == "a.csv:3"


def test_everything_printed_can_be_taken_from_the_farms_page(
    farm_page: FarmPage, text_of: Text, parts_of: Parts
) -> None:
    page = farm_take_along.section("F/1", FarmState(rams=date(2026, 11, 12)), farm_page)
    words = text_of(page)
    for name in ("Visit brief", "Work sheet", "Recording sheets", "Draw list", "Stick reader", "Dates"):
        assert name in words
    hrefs = [part.href for part in parts_of(page) if getattr(part, "href", None)]
    assert "/print/F%2F1/brief.pdf?season=2026&rams=2026-11-12" in hrefs  # it says what is tried out
    assert "/print/F%2F1/work-sheet.pdf?season=2026" in hrefs
    # the line of this farm, or of the practice, whether it was scored or not
    assert "/enter/?farm=F%2F1&group=Shearlings&low=2.75" in hrefs
    assert "/visit/F%2F1?season=2026" in hrefs
