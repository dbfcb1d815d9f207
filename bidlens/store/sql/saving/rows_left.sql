-- Staged rows whose contract (structure, ...) is not known.
SELECT *
FROM staged_{table}
ANTI JOIN known USING ({keys});
