-- Files of which the ledger says something else since the current generation was built.
create table changed_file (file varchar not null);
