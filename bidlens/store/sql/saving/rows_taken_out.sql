-- Staged rows whose contract (structure, ...) is known, with the reason.
SELECT staged_{table}.*, known.reason
FROM staged_{table}
JOIN known USING ({keys});
