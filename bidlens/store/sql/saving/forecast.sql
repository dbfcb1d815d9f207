-- The rows of one forecast, to be kept.
INSERT INTO forecast BY NAME SELECT * FROM to_keep;
