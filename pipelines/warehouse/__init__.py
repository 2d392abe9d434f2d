"""The only place that opens a database: one writer, an archive of every file offered, published snapshots.

Import what is needed from the modules (`intake`, `publish`, `snapshot`, `corrections` …); this package
imports none of them, so that the models can name the connection type without a circle.
"""
