import re

import duckdb
import pytest

from dashboard.meeting import page, paper
from dashboard.meeting.content import meeting
from pipelines.release.build import Release
from pipelines.warehouse.errors import WarehouseError
from pipelines.warehouse.released import read_release, write_release


def test_nothing_in_any_released_file_names_a_farm_a_person_a_ewe_or_the_group(release, scan, secrets):
    done = release()
    assert {path.suffix for path in done.files} == {".duckdb", ".html", ".pdf"}
    assert len(secrets) > 3_000
    assert {path.name: scan(path, secrets) for path in done.files} == {
        path.name: set() for path in done.files
    }


def test_the_scan_would_find_what_it_looks_for(release, scan, secrets, tmp_path):
    # the private card says for whom it is, inside a packed stream; so would a database that held a name
    card = next(path for path in release().cards if path.name.startswith("QUIL01"))
    assert "Quillow Meads" in scan(card, secrets)
    with duckdb.connect(str(tmp_path / "names.duckdb")) as connection:
        connection.execute("create table farm as select 'QUIL01' as farm, 'Zoë' as scorer")
    assert scan(tmp_path / "names.duckdb", secrets) >= {"QUIL01", "Zoë"}


def test_a_release_is_read_as_it_was_written(released_file, tmp_path):
    found = read_release(released_file)
    write_release(tmp_path / "again.duckdb", found)
    again = read_release(tmp_path / "again.duckdb")
    for table in ("letters", "figures", "distribution"):
        assert getattr(again, table).equals(getattr(found, table))


def test_equal_releases_give_equal_bytes_but_for_duckdbs_own_number(released_file, tmp_path):
    found = read_release(released_file)
    write_release(tmp_path / "a.duckdb", found)
    write_release(tmp_path / "b.duckdb", found)
    first, second = ((tmp_path / name).read_bytes() for name in ("a.duckdb", "b.duckdb"))
    assert first[4096:] == second[4096:]  # the first header holds the random number of the database
    assert len(first) < 200_000
    assert page.render(meeting(found)) == page.render(meeting(read_release(released_file)))
    assert paper.render(meeting(found)) == paper.render(meeting(found))


def test_the_page_stands_alone(release):
    html = next(path for path in release().files if path.suffix == ".html").read_text(encoding="utf-8")
    assert not re.search(r"<script|\son\w+=|src=|href=|url\(|@import|://", html)


def test_the_folder_holds_three_files_and_a_private_card_for_each_farm(release, tmp_path):
    done = release()
    held = {path.relative_to(tmp_path / "out") for path in (tmp_path / "out").rglob("*") if path.is_file()}
    assert len([path for path in held if path.parts[0] == "cards-private"]) == done.letters == 7
    assert len(held) == 7 + 3


@pytest.mark.parametrize(
    "change",
    [
        "update letters set letter = '<script>'",
        "update letters set flock_size = 'QUIL01'",
        "update figures set thin_share = 'nan'",
        "update figures set stage = 'autumn'",
        "update about set release = 'Marl Vale'",
        "drop table distribution",
        "delete from letters where letter = 'A'",
    ],
)
def test_a_file_that_was_tampered_with_is_refused(change, released_file):
    with duckdb.connect(str(released_file)) as connection:
        connection.execute(change)
    with pytest.raises(WarehouseError, match="not a release made by tupping release"):
        read_release(released_file)


def test_a_file_cannot_make_the_reader_open_another(released_file, tmp_path):
    (tmp_path / "secret.csv").write_text("letter,system,flock_size\nA,hill,any size\n")
    with duckdb.connect(str(released_file)) as connection:
        connection.execute("drop table letters")
        connection.execute(f"create view letters as select * from read_csv('{tmp_path / 'secret.csv'}')")
    with pytest.raises(WarehouseError, match="not a release"):
        read_release(released_file)


def test_text_is_no_release(tmp_path):
    (tmp_path / "x.duckdb").write_text("no database")
    for path in (tmp_path / "x.duckdb", tmp_path / "missing.duckdb"):
        with pytest.raises(WarehouseError, match=path.name):
            read_release(path)


def test_a_release_has_no_more_columns_than_its_file(released_file):
    with duckdb.connect(str(released_file), read_only=True) as connection:
        held = connection.execute("select table_name, column_name from duckdb_columns() where not internal")
        columns = set(held.fetchall())
    assert {table for table, _ in columns} == {"about", "letters", "figures", "distribution"}
    assert set(Release.__dataclass_fields__) - {"letters", "figures", "distribution"} == {
        column for table, column in columns if table == "about"
    }
