-- The contracts (structures, proposals, index releases) of the staged rows that are on record: key, file, import.
SELECT {keys}, min_by(source_file, batch_id) AS earlier_file, min(batch_id) AS earlier_batch
FROM {table}
SEMI JOIN staged_{table} USING ({keys})
GROUP BY {keys}
ORDER BY {keys};
