-- A stored table as it is, in an order of its own.
SELECT *
FROM {table}
ORDER BY ALL;
