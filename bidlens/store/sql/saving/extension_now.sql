-- The extension of one bidder's line as it stands; null where its price is missing.
SELECT extension
FROM bid_price
WHERE contract_id = $contract_id AND letting_date = $letting_date AND schedule = $schedule AND line = $line
    AND bidder = $bidder;
