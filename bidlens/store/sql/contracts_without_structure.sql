-- One row per letting not rejected whose low bid holds bridge work and that no structure is linked to, most dollars first;
-- bridge_usd: low-bid dollars of the categories given, alternates left out; bridge_lines: their lines.
-- columns: contract_id, letting_date, description, low_bidder, low_total, bridge_usd, bridge_lines
-- parameters: $categories
SELECT
    contract_id, letting_date, contract.description, any_value(low_line.low_bidder) AS low_bidder,
    any_value(low_total)::DOUBLE AS low_total, sum(extension) AS bridge_usd, count(*) AS bridge_lines
FROM low_line
JOIN contract USING (contract_id, letting_date)
JOIN low_bid USING (contract_id, letting_date)
WHERE list_contains($categories, work_category) AND NOT alternate AND extension > 0 AND NOT EXISTS (
    FROM linked_structure AS linked
    WHERE linked.contract_id = contract.contract_id
        AND (linked.letting_date IS NULL OR linked.letting_date = contract.letting_date)
)
GROUP BY contract_id, letting_date, contract.description
ORDER BY bridge_usd DESC, letting_date, contract_id;
