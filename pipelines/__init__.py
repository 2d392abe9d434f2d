"""From client files to published tables: import, warehouse, models, statistics, readiness, queries."""
