-- What "evenfall roster" lists, as one query over a table days:
--   source    the file a row came from; of two rows for a day the later name counts
--   person    what the person is called
--   date      the day
--   answered  1 if its morning was recorded, else 0
--   load      training load in AU, null = unknown
--   readiness the score, null = none
--   caution   clinician_soon, same_day_care, emergency_now, or null
-- The day of looking stands in the first line below.

WITH looked AS (
    SELECT CAST(date_part('epoch', DATE '2026-03-30') / 86400 AS BIGINT) AS today
),
numbered AS (
    SELECT
        days.person,
        looked.today - CAST(date_part('epoch', days.date) / 86400 AS BIGINT) AS ago,
        days.answered,
        days.load,
        days.readiness,
        days.caution,
        row_number() OVER (PARTITION BY days.person, days.date ORDER BY days.source DESC) AS place
    FROM days CROSS JOIN looked
),
kept AS (
    SELECT person, ago, answered, load, readiness, caution
    FROM numbered
    WHERE place = 1 AND ago >= 0
),

-- No answer for four days, the day of looking not counted. Who never answered has been asked since the
-- first row, that day included.
stopped AS (
    SELECT
        person,
        coalesce(
            min(CASE WHEN answered = 1 THEN ago END) - 1,
            max(ago)
        ) AS days_without
    FROM kept
    GROUP BY person
),

-- Mean score of the last seven days, with four scores at least.
low AS (
    SELECT person, avg(readiness) AS mean_score, count(readiness) AS scores
    FROM kept
    WHERE ago < 7
    GROUP BY person
),

-- The most urgent caution of the last seven days.
urgent AS (
    SELECT
        person,
        max(CASE caution
            WHEN 'emergency_now' THEN 3
            WHEN 'same_day_care' THEN 2
            WHEN 'clinician_soon' THEN 1
            ELSE 0
        END) AS level
    FROM kept
    WHERE ago < 7
    GROUP BY person
),

-- The last seven days of known load, which end at most seven days back, against the four weeks before;
-- weeks with an unknown day do not count, and three have to be known.
week_end AS (
    SELECT person, min(ago) AS last_day
    FROM kept
    WHERE load IS NOT NULL AND ago <= 7
    GROUP BY person
),
weeks AS (
    SELECT
        kept.person,
        CAST(floor((kept.ago - week_end.last_day) / 7.0) AS BIGINT) AS week,
        sum(kept.load) AS load
    FROM kept
    JOIN week_end ON week_end.person = kept.person
    WHERE kept.ago >= week_end.last_day AND kept.ago < week_end.last_day + 35
    GROUP BY kept.person, CAST(floor((kept.ago - week_end.last_day) / 7.0) AS BIGINT)
    HAVING count(kept.load) = 7
),
before AS (
    SELECT person, avg(load) AS usual, count(*) AS weeks
    FROM weeks
    WHERE week > 0
    GROUP BY person
),
jumped AS (
    SELECT weeks.person, weeks.load / before.usual - 1 AS change, before.weeks
    FROM weeks
    JOIN before ON before.person = weeks.person
    WHERE weeks.week = 0 AND before.weeks >= 3 AND before.usual > 0
)

SELECT 'stopped' AS finding, person, CAST(days_without AS DOUBLE) AS value, CAST(0 AS BIGINT) AS basis
FROM stopped WHERE days_without >= 4
UNION ALL
SELECT 'low_readiness', person, mean_score, scores
FROM low WHERE scores >= 4 AND mean_score <= -0.75
UNION ALL
SELECT 'to_be_seen', person, CAST(level AS DOUBLE), CAST(0 AS BIGINT)
FROM urgent WHERE level > 0
UNION ALL
SELECT 'load_jumped', person, change, weeks
FROM jumped WHERE change >= 0.5
ORDER BY finding, person
