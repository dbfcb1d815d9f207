-- Corrected total and status of the bids of one letting that have a typed price. A bid that is irregular for its
-- missing prices alone is responsive once none is missing; a total that was not given stays so until then.
UPDATE bid
SET total_corrected = CASE WHEN now.blank > 0 AND now.total_as_read IS NULL THEN NULL ELSE now.total END,
    status = CASE
        WHEN now.blank = 0 AND now.status_as_read = 'irregular'
            AND bid.status_from IN ('unit price left blank', 'item not bid') THEN 'responsive'
        ELSE now.status_as_read
    END
FROM (
    SELECT
        price.contract_id, price.letting_date, price.bidder, price.batch_id,
        sum(price.extension::DECIMAL(38, 2)) FILTER (NOT coalesce(item.alternate, false))::DECIMAL(18, 2) AS total,
        count(*) FILTER (price.unit_price IS NULL AND NOT coalesce(item.alternate, false)) AS blank,
        any_value(typed.bid_status_as_read) AS status_as_read,
        any_value(typed.bid_total_as_read) AS total_as_read
    FROM bid_price AS price
    JOIN contract_item AS item USING (contract_id, letting_date, schedule, line)
    JOIN (
        SELECT DISTINCT contract_id, letting_date, bidder, batch_id, bid_status_as_read, bid_total_as_read
        FROM correction
        JOIN import_batch USING (sha256)
    ) AS typed
        ON typed.contract_id = price.contract_id AND typed.letting_date = price.letting_date
        AND typed.bidder = price.bidder AND typed.batch_id = price.batch_id
    WHERE price.contract_id = $contract_id AND price.letting_date = $letting_date
    GROUP BY price.contract_id, price.letting_date, price.bidder, price.batch_id
) AS now
WHERE bid.contract_id = now.contract_id AND bid.letting_date = now.letting_date AND bid.bidder = now.bidder
    AND bid.batch_id = now.batch_id;
