-- A price typed by hand is blank again.
UPDATE bid_price
SET unit_price = NULL, extension = NULL, by_hand = NULL
WHERE contract_id = $contract_id AND letting_date = $letting_date AND schedule = $schedule AND line = $line
    AND bidder = $bidder AND by_hand IS NOT NULL;
