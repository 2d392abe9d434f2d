"""The anonymised comparison of one discussion group: what may leave the practice, and what is refused.

A release says of every letter: a class (system, band of flock size, weeks to rams in, least number scored)
and figures (rounded shares, mean and distribution). The promise, and how it is kept:

**No letter can be linked to a farm with a chance above 1/k, where k = `classes.SMALLEST` = 3**, by someone
who knows the members, their flock sizes, systems and rams-in dates, how this program works, and all earlier
releases; not even if that person could tell for certain which letters of different releases belong together.

1. Everything in a class is the same for all its letters, and a class has at least k farms.
2. How farms are put into classes depends on no figure, so that exchanging two farms' figures within a class
   would have been as likely, and would give the same release: letters within a class are in random order.
3. Over all releases, of whichever group and season, the farms with the same history of classes (absence
   included) number at least k. Hence no chain of letters, however well linked, fits fewer than k farms, and
   who joined or left hides among at least k who did. Farms that would break this are left out.
4. Systems are never merged, since scores differ so much between them that the figures would tell them apart.

What is not promised: a member knows the own letter, so others are hidden from that member among k − 1, and
from m members who share their letters among k − m; what is the same for all of a class is known of each of
its farms; and someone who has seen a farm's scores can recognise its figures.
"""

from pipelines.release.build import Issued, Release, ReleaseError, issue
from pipelines.release.ledger import Entry, read_ledger, write_ledger

__all__ = ["Entry", "Issued", "Release", "ReleaseError", "issue", "read_ledger", "write_ledger"]
