-- One row per setting of the record.
-- columns: name, value
-- parameters: none
SELECT name, value
FROM setting
ORDER BY name;
