-- The tasks of by_hand.py as a join. Reads `plan`, `templates` and `span` (one row: first day, last day), which run.py imports.
CREATE INDEX template_of ON templates (protocol);
SELECT batch || path AS id, batch, plant, protocol, stage, task, number, earliest, planned, latest, due, sure, watch, state, done,
    record, place, move, count, trays, minutes_low, minutes_high, duty, say
FROM (
    SELECT batch, path, plant, protocol, stage, task, number,
        date(stick, earliest || ' days') AS earliest,
        date(stick, planned || ' days') AS planned,
        date(stick, latest || ' days') AS latest,
        date(stick, due || ' days') AS due,
        sure, watch, state, done, record, stands AS place, move, count, trays, minutes_low, minutes_high, duty, say
    FROM plan JOIN templates ON protocol = follow
) WHERE coalesce(planned, latest) >= (SELECT first FROM span) AND coalesce(planned, earliest) <= (SELECT last FROM span);
