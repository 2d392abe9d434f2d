-- The ledger (one row is one file offered under one name), its problems, and the rows that were accepted.
-- Rows hang on the ledger by file_id; only files with status imported or imported_with_problems count.
create table source_file (
    file_id       bigint primary key,
    file          varchar not null,
    sha256        varchar not null,
    kind          varchar,
    layout        varchar,
    imported_at   timestamp not null,
    read_as_of    date not null,
    context_json  varchar not null,
    status        varchar not null,
    rows_read     bigint not null,
    rows_accepted bigint not null,
    rows_refused  bigint not null,
    supersedes    bigint,
    withdrawn_at  timestamp
);

create table file_problem (
    file_id  bigint not null,
    line     integer,
    "column" varchar,
    code     varchar not null,
    severity varchar not null,
    value    varchar,
    message  varchar not null
);

create table score_row (
    file_id   bigint not null,
    line      integer not null,
    farm      varchar,
    scored_on date,
    "group"   varchar,
    ewe       varchar,
    score     double,
    count     integer,
    stage     varchar,
    scorer    varchar,
    breed     varchar,
    note      varchar,
    grazing   varchar,
    age       double,
    weight_kg double,
    teeth     varchar,
    lame      varchar,
    udder     varchar
);

create table register_row (
    file_id             bigint not null,
    line                integer not null,
    farm                varchar,
    name                varchar,
    system              varchar,
    ewes                integer,
    weaned_on           date,
    rams_in             date,
    season              integer,
    region              varchar,
    breed               varchar,
    best_grazing_places integer,
    discussion_group    varchar,
    flush_days          integer,
    contact             varchar
);

-- One row is one ewe that was given a new tag: scores under the old one belong to the new one.
create table retag (
    farm     varchar not null,
    old_ewe  varchar not null,
    new_ewe  varchar not null,
    noted_on date not null
);

-- One row is one heading of a farm's files that the adviser has named; farm '' holds for every farm.
create table heading_map (
    farm     varchar not null,
    heading  varchar not null,
    "column" varchar not null,
    primary key (farm, heading)
);

-- Filled by the models, then copied into each published generation.
create schema marts;
