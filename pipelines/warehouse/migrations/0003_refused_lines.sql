-- One row is one line of a register that was refused but names its farm, so that whoever asks for that farm can be told
-- what its line lacks. Files read before this was kept tell it once they are read again (tupping rebuild).
create table refused_line (
    file_id bigint not null,
    line    integer not null,
    farm    varchar not null,
    season  integer,
    name    varchar
);
