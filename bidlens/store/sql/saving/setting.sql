-- One setting of the record; replaces an earlier value.
INSERT OR REPLACE INTO setting BY NAME
SELECT $name AS name, $value AS value;
