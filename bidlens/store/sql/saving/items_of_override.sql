-- Distinct pay items, by schedule, that one decision by hand speaks of.
SELECT DISTINCT item_code, description, pay_unit, schedule
FROM contract_item
WHERE upper(regexp_replace(trim(description), '\s+', ' ', 'g'))
        = upper(regexp_replace(trim($description), '\s+', ' ', 'g'))
    AND ($item_code = '' OR upper(item_code) = upper($item_code))
    AND ($pay_unit = '' OR upper(pay_unit) = upper($pay_unit))
ORDER BY ALL;
