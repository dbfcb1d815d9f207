-- A bid with its status and corrected total as read.
UPDATE bid
SET status = $status, total_corrected = $total
WHERE contract_id = $contract_id AND letting_date = $letting_date AND bidder = $bidder;
