-- One row per imported cost index, release and quarter.
-- columns: series, release, quarter, value
-- parameters: none
SELECT series, release, quarter, value
FROM index_value
ORDER BY series, release, quarter;
