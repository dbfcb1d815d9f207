-- One row per work category: lines and dollars of low bids of lettings whose bids were not all rejected, largest first.
-- items: distinct pay items; by_hand: lines placed by the engineer; rules: distinct rules that placed the others;
-- low_bid_usd: USD; share: of all low bid dollars, 0 to 1.
-- columns: work_category, lines, items, by_hand, rules, low_bid_usd, share
-- parameters: none
WITH line AS (
    SELECT item.work_category, item.category_rule, item.item_code, item.description, item.pay_unit,
        coalesce(price.extension, 0)::DECIMAL(38, 2) AS usd
    FROM contract
    JOIN low_bid USING (contract_id, letting_date)
    JOIN contract_item AS item USING (contract_id, letting_date)
    LEFT JOIN bid_price AS price
        ON price.contract_id = item.contract_id AND price.letting_date = item.letting_date
        AND price.schedule = item.schedule AND price.line = item.line AND price.bidder = low_bid.low_bidder
    WHERE contract.status <> 'rejected'
)
SELECT
    work_category,
    count(*) AS lines,
    count(DISTINCT (item_code, description, pay_unit)) AS items,
    count(*) FILTER (category_rule LIKE 'placed by hand%') AS by_hand,
    count(DISTINCT category_rule) FILTER (category_rule NOT LIKE 'placed by hand%') AS rules,
    sum(usd)::DOUBLE AS low_bid_usd,
    sum(usd)::DOUBLE / nullif(sum(sum(usd)) OVER ()::DOUBLE, 0) AS share
FROM line
GROUP BY work_category
ORDER BY low_bid_usd DESC, work_category;
