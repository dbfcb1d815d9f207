-- One row per schedule of one letting that has a name.
-- columns: schedule, lines
-- parameters: $contract_id, $letting_date
SELECT schedule, count(*) AS lines
FROM contract_item
WHERE contract_id = $contract_id AND letting_date = $letting_date::DATE AND schedule <> ''
GROUP BY schedule
ORDER BY schedule;
