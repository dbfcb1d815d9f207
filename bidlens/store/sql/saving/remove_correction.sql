-- Withdraw one price typed by hand; gives status and total of its bid as read.
DELETE FROM correction
WHERE contract_id = $contract_id AND letting_date = $letting_date AND schedule = $schedule AND line = $line
    AND bidder = $bidder
RETURNING bid_status_as_read, bid_total_as_read;
