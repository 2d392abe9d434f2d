"""Attacks: link letters to farms from flock sizes, systems, rams-in weeks and all earlier releases."""

from collections import Counter
from random import Random

import numpy as np
import pandas as pd
import pytest
from scipy.optimize import linear_sum_assignment

from pipelines.release import ReleaseError, issue

FIGURES = ["mean_score", "thin_share", "on_target_share", "over_share"]
BOUNDS = {"an outsider": 1 / 3, "a member": 1 / 2}  # 1/k, and 1/(k - 1) who knows the own letter


def fits(words, ewes):
    """Whether a flock of so many ewes is of the released size."""
    numbers = [int(word) for word in words.split() if word.isdigit()]
    if words == "any size":
        return True
    if words.startswith("under"):
        return ewes < numbers[0]
    return numbers[0] <= ewes <= (numbers[1] if len(numbers) == 2 else 10**6)


def change_members(group, random):
    """A few leave and a few join, as groups do between two releases."""
    members = [farm for farm in group.farms if farm["member"]]
    for farm in random.sample(members, min(len(members) - 1, random.choice([0, 0, 1, 2, 3]))):
        farm["member"] = False
    for _ in range(random.choice([0, 1, 1, 3])):
        group.join(random.choice(["lowland", "lowland", "upland"]))


def releases_of(group, random, number=3):
    """Up to `number` releases with changing members: (issued, members then, farms known to the attacker)."""
    ledger, made = [], []
    before = group.tables(2023)
    for season in range(2024, 2024 + number):
        farms, *scored = this = group.tables(season)
        try:
            found = issue(
                "vale",
                season,
                farms=pd.concat([before[0], farms]),
                sessions=pd.concat([before[1], scored[0]]),
                distribution=pd.concat([before[2], scored[1]]),
                ledger=ledger,
                minimum=5,
                choose=random,
            )
        except ReleaseError:
            pass
        else:
            ledger.append(found.entry)
            made.append((found, farms.set_index("farm")))
        before = this
        change_members(group, random)
    return made


def candidates(found, farms):
    """Per letter, the members whose system and flock size fit its class."""
    rows = found.release.letters.set_index("letter")
    return {
        letter: {
            farm
            for farm in farms.index
            if farms.system[farm] == row.system and fits(row.flock_size, farms.ewes[farm])
        }
        for letter, row in rows.iterrows()
    }


def by_figures(earlier, farms_then, later):
    """Links by the nearest figures (best assignment); everyone then a member may have been released."""
    both = [at.release.figures.groupby("letter")[FIGURES].mean() for at in (earlier, later)]
    apart = np.abs(both[1].to_numpy()[:, None, :] - both[0].to_numpy()[None, :, :]).sum(axis=-1)
    rows, columns = linear_sum_assignment(apart)
    links = {both[1].index[row]: both[0].index[column] for row, column in zip(rows, columns, strict=True)}
    return links, set(farms_then.index)


def by_oracle(earlier, farms_then, later):
    """Letters that truly belong together and farms truly released: more than any attacker can know."""
    farm_of = {letter: farm for farm, letter in later.letter_of.items()}
    links = {letter: earlier.letter_of[farm] for letter, farm in farm_of.items() if farm in earlier.letter_of}
    return links, set(earlier.letter_of)


def guesses(made, link, own=None):
    """Chance of naming the farm of each letter of the last release, narrowed by links to earlier ones.

    A letter with an earlier one is a farm that fitted that too; one without is a farm not released then.
    `own` is the attacker's farm, if a member attacks: its letters are known and it fits no other.
    """
    last, farms = made[-1]
    possible = {
        letter: fitting - {own}
        for letter, fitting in candidates(last, farms).items()
        if letter != last.letter_of.get(own)
    }
    for earlier, farms_then in made[:-1]:
        links, released_then = link(earlier, farms_then, last)
        possible_then = candidates(earlier, farms_then)
        for letter, fitting in possible.items():
            then = possible_then[links[letter]] & released_then if letter in links else None
            narrowed = fitting & then if then is not None else fitting - released_then
            possible[letter] = narrowed - {own} or fitting
    farm_of = {letter: farm for farm, letter in last.letter_of.items()}
    return np.array([(farm_of[letter] in at) / len(at) for letter, at in possible.items()])


def attack(make_group, groups):
    """Chances of success by kind of link and attacker, one array per group that could be released."""
    success = {(link, who): [] for link in (by_figures, by_oracle) for who in BOUNDS}
    for seed in range(groups):
        random = Random(seed)
        systems = ("lowland",) * random.choice([5, 7, 9]) + ("upland",) * random.choice([0, 2, 4])
        if made := releases_of(make_group(seed, systems), random):
            own = random.choice(sorted(made[-1][0].letter_of))
            for (link, who), chances in success.items():
                chances.append(guesses(made, link, own if who == "a member" else None))
    return success


def check_attacks(make_group, groups):
    for (link, who), chances in attack(make_group, groups).items():
        rate = np.mean([group.mean() for group in chances])
        print(
            f"{link.__name__}, {who}: success {rate:.3f}, {len(chances)} of {groups}; bound {BOUNDS[who]:.3f}"
        )
        assert len(chances) > 0.8 * groups
        assert rate <= BOUNDS[who]
        # even knowing which letters belong together, no single letter fits fewer farms than the bound says
        assert link is by_figures or max(group.max() for group in chances) <= BOUNDS[who]


def test_nobody_links_letters_to_farms_more_often_than_the_bound(make_group):
    check_attacks(make_group, 20)


@pytest.mark.slow
def test_a_thousand_groups_withstand_the_same_attacks(make_group):
    check_attacks(make_group, 1000)


def test_even_the_exact_history_of_a_letter_fits_three_farms(make_group):
    for seed in range(6):
        random = Random(seed)
        made = releases_of(make_group(seed), random, number=4)
        histories = Counter()
        for farm in {farm for found, _ in made for farm in found.letter_of}:
            histories[tuple(found.entry.classes.get(farm) for found, _ in made)] += 1
        assert not made or min(histories.values()) >= 3


def test_without_the_ledger_the_same_attack_names_who_joined(make_group):
    # the attack has teeth: a newcomer released at once is found from two releases by the linked figures
    group, random = make_group(77, ("lowland",) * 6), Random(77)
    first_farms, *first_tables = group.tables(2026)
    group.join()
    second_farms, *second_tables = group.tables(2026)
    found = [
        issue(
            "vale",
            2026,
            farms=farms,
            sessions=tables[0],
            distribution=tables[1],
            ledger=[],
            minimum=5,
            choose=random,
        )
        for farms, tables in ((first_farms, first_tables), (second_farms, second_tables))
    ]
    made = [(found[0], first_farms.set_index("farm")), (found[1], second_farms.set_index("farm"))]
    assert guesses(made, by_oracle).max() == 1
