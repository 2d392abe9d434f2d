-- The first day of the sessions that came in, where nothing else of the farm changed; null: any of it may have.
alter table changed_farm add column since date;
