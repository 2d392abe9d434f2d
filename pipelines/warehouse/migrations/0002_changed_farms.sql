-- What is built from the rows is built straight into the published generations; none of it stays here.
drop schema if exists marts cascade;
drop schema if exists staging cascade;

-- Farms whose rows changed since the current generation was built; written in one transaction with the rows.
create table changed_farm (farm varchar not null);

-- One row is the generation that holds everything but what changed_farm says; none: the next is built whole.
create table built_generation (generation integer not null);
