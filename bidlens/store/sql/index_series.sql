-- One row per imported cost index and release.
-- columns: series, release, seasonally_adjusted, first_quarter, last_quarter, source_file, batch_id
-- parameters: none
SELECT
    series, release, seasonally_adjusted,
    (SELECT min(quarter) FROM index_value AS v WHERE v.series = s.series AND v.release = s.release) AS first_quarter,
    (SELECT max(quarter) FROM index_value AS v WHERE v.series = s.series AND v.release = s.release) AS last_quarter,
    source_file, batch_id
FROM index_series AS s
ORDER BY series, release;
