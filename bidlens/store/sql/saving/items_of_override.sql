-- Distinct pay items, by schedule, that one decision by hand speaks of.
SELECT DISTINCT item_code, description, pay_unit, schedule
FROM contract_item
WHERE lower(trim(description)) = lower(trim($description))
    AND ($item_code = '' OR item_code = $item_code)
    AND ($pay_unit = '' OR pay_unit = $pay_unit)
ORDER BY ALL;
