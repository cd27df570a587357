-- Rules R0 to R7 in SQL (DuckDB), written from the rules and nothing else.
--
-- In: the tables of rows.py. Out: the tables "state" (student, skill, state) and "verdict"
-- (student, verdict). Each statement is one step; NULL stands for "never" and for "none".

-- R0 Band: by age, unless the teacher chose another. 29 February counts as 1 March in other years;
-- comparing month and day as a pair says the same.
CREATE OR REPLACE TEMP TABLE in_band AS
WITH aged AS (
  SELECT s.student, t.year - s.year - ((t.month, t.day_of_month) < (s.month, s.day_of_month))::int AS age
  FROM student s, today t
), by_age AS (
  SELECT a.student, coalesce(
    (SELECT arg_max(b.band, b.from_age) FROM band b WHERE b.from_age <= a.age),
    (SELECT arg_min(b.band, b.from_age) FROM band b)) AS band
  FROM aged a
), chosen AS (
  SELECT c.student, arg_max(c.band, (c.day, c.place)) AS band
  FROM band_choice c, today t WHERE c.day <= t.day GROUP BY c.student
)
SELECT a.student, coalesce(c.band, a.band) AS band FROM by_age a LEFT JOIN chosen c USING (student);

-- What the band says about each skill of each student, and whether it is asked for at all.
CREATE OR REPLACE TEMP TABLE mine AS
SELECT i.student, s.skill, u.number AS unit, a.help AS most_help, coalesce(o.days, n.days) AS need,
  7 * f.weeks AS window_days,
  b.spread_days, s.skill IN (SELECT skill FROM must_be_seen) AS must_be_seen,
  s.skill IN (SELECT skill FROM quiet UNION ALL SELECT skill FROM asks_pain) AS quiet,
  EXISTS (SELECT 1 FROM set_aside x, today t
          WHERE x.student = i.student AND x.skill = s.skill AND x.day <= t.day) AS aside,
  EXISTS (SELECT 1 FROM optional_in o WHERE o.skill = s.skill AND o.band = i.band) AS optional,
  -- R3: the latest day on which everything up to a unit not before this one was settled
  (SELECT max(e.day) FROM settled e JOIN unit v ON v.unit = e.unit, today t
   WHERE e.student = i.student AND e.day <= t.day AND v.number >= u.number) AS settled
FROM in_band i JOIN band b USING (band) CROSS JOIN skill s JOIN unit u ON u.unit = s.unit
  JOIN accepts a ON a.band = i.band AND a.kind = s.kind
  JOIN days_needed n ON n.band = i.band AND n.kind = s.kind
  JOIN fresh_weeks f ON f.band = i.band AND f.fade = s.fade
  LEFT JOIN own_days o ON o.skill = s.skill;

-- R7: the holds that pause this course, with the first day under each (R1a): since, or the day after the opening.
CREATE OR REPLACE TEMP TABLE pausing AS
SELECT h.student, h.opened, h.closed, coalesce(s.day, h.opened + 1) AS first_day, s.day IS NULL AS without_since
FROM hold h LEFT JOIN hold_since s USING (student, place) JOIN today t ON h.opened <= t.day
WHERE h.part NOT IN (SELECT o.uses FROM other_course o WHERE o.uses NOT IN (SELECT uses FROM course));

-- R1a: the lesson days of each student, whether under a hold, and whether one without since was opened then.
CREATE OR REPLACE TEMP TABLE lesson_day AS
SELECT l.student, l.day,
  EXISTS (SELECT 1 FROM pausing p WHERE p.student = l.student AND p.first_day <= l.day AND l.day < p.closed) AS held,
  EXISTS (SELECT 1 FROM pausing p
          WHERE p.student = l.student AND p.opened = l.day AND p.without_since) AS opening
FROM (SELECT DISTINCT student, day FROM lesson) l JOIN today t ON l.day <= t.day;

-- R1 Evidence: one note a skill and day, the one with most help; R1a: less what a hold leaves out. R2 Counts.
CREATE OR REPLACE TEMP TABLE evidence AS
WITH day_note AS (
  SELECT student, skill, day, max(help) AS help FROM note GROUP BY ALL
)
SELECT n.*, n.help <= m.most_help AS counts, l.held, m.quiet, m.settled
FROM day_note n JOIN mine m USING (student, skill) JOIN lesson_day l USING (student, day)
WHERE m.quiet OR (NOT l.held AND (NOT l.opening OR n.help <= m.most_help));

-- In scope is what was seen from the settled day on. Numbered from 1, oldest first.
CREATE OR REPLACE TEMP TABLE seen AS
SELECT student, skill, day, help, counts, held,
  row_number() OVER (PARTITION BY student, skill ORDER BY day) AS number
FROM evidence WHERE settled IS NULL OR day >= settled;

-- R3 Enough: through the days in order, all students and skills at once. "since": secure since.
CREATE OR REPLACE TEMP TABLE walked AS
WITH RECURSIVE walk AS (
  SELECT student, skill, 0::bigint AS number, 0 AS listed, NULL::int AS first_day, settled AS since,
    0 AS misses, false AS slipped, NULL::int AS last_help
  FROM mine
  UNION ALL
  SELECT w.student, w.skill, s.number,
    CASE WHEN s.counts THEN w.listed + 1 WHEN w.misses = 1 AND w.since IS NOT NULL THEN 0 ELSE w.listed END,
    CASE WHEN s.counts AND w.listed = 0 THEN s.day
         WHEN NOT s.counts AND w.misses = 1 AND w.since IS NOT NULL THEN NULL
         ELSE w.first_day END,
    CASE WHEN NOT s.counts THEN CASE WHEN w.misses = 1 THEN NULL ELSE w.since END
         WHEN w.since IS NOT NULL THEN w.since
         WHEN w.listed + 1 >= m.need
          AND (m.need = 1 OR s.day - CASE WHEN w.listed = 0 THEN s.day ELSE w.first_day END >= m.spread_days)
         THEN s.day END,
    CASE WHEN s.counts THEN 0 ELSE w.misses + 1 END,
    w.slipped OR (NOT s.counts AND w.misses = 1 AND w.since IS NOT NULL),
    s.help
  FROM walk w
  JOIN seen s ON s.student = w.student AND s.skill = w.skill AND s.number = w.number + 1
  JOIN mine m ON m.student = w.student AND m.skill = w.skill
)
SELECT student, skill, unnest(arg_max(walk, number))
FROM (SELECT student, skill, number, {'days': number, 'since': since, 'misses': misses,
                                      'slipped': slipped, 'last_help': last_help} AS walk FROM walk)
GROUP BY student, skill;

-- Everything a skill stands on, over any number of links.
CREATE OR REPLACE TEMP TABLE ancestor AS
WITH RECURSIVE climb AS (
  SELECT skill, below FROM stands_on
  UNION
  SELECT c.skill, s.below FROM climb c JOIN stands_on s ON s.skill = c.below
)
SELECT * FROM climb;

-- R4 and R5: last seen, by its own counting days, by being settled, and by use in what stands on it.
CREATE OR REPLACE TEMP TABLE last_seen AS
WITH days AS (
  SELECT student, skill, settled AS day FROM mine WHERE settled IS NOT NULL
  UNION ALL
  SELECT student, skill, day FROM seen WHERE counts
  UNION ALL
  SELECT s.student, a.below, s.day
  FROM seen s JOIN ancestor a USING (skill)
  JOIN walked w ON w.student = s.student AND w.skill = a.below AND w.since <= s.day
  JOIN mine m ON m.student = s.student AND m.skill = a.below AND NOT m.must_be_seen
  WHERE s.counts AND (m.quiet OR NOT s.held)  -- R1a: under a hold only what is quiet
)
SELECT student, skill, max(day) AS day FROM days GROUP BY ALL;

-- R6 States, the first that fits.
CREATE OR REPLACE TEMP TABLE state AS
SELECT m.student, m.skill, CASE
    WHEN m.aside THEN 'set-aside'
    WHEN w.since IS NOT NULL AND w.misses = 1 THEN 'wobbling'
    WHEN w.since IS NOT NULL AND t.day - l.day > m.window_days THEN 'stale'
    WHEN w.since IS NOT NULL THEN 'secure'
    WHEN w.days = 0 THEN 'untried'
    WHEN w.misses >= 1 AND w.slipped THEN 'slipped'
    WHEN w.misses = 0 THEN 'building'
    WHEN w.last_help = 4 THEN 'not-shown'
    ELSE 'with-help' END AS state,
  m.unit, m.aside OR m.optional AS left_out
FROM mine m JOIN walked w USING (student, skill) LEFT JOIN last_seen l USING (student, skill), today t;

-- R7: the unit each student is in. Who has none is not placed.
CREATE OR REPLACE TEMP TABLE placed AS
SELECT s.student, u.number AS unit
FROM (SELECT b.student, arg_max(b.unit, (b.day, b.place)) AS unit
      FROM unit_start b, today t WHERE b.day <= t.day GROUP BY b.student) s
JOIN unit u ON u.unit = s.unit;

-- The skills of the next unit that are asked for; they name what decides.
CREATE OR REPLACE TEMP TABLE coming AS
SELECT s.student, s.skill FROM state s JOIN placed p USING (student)
WHERE s.unit = p.unit + 1 AND NOT s.left_out;

CREATE OR REPLACE TEMP TABLE sorted AS
SELECT s.student, s.skill, s.state = 'secure' AS good, s.state IN ('with-help', 'not-shown', 'slipped') AS gap,
  s.skill IN (SELECT skill FROM always_look)
  OR (s.unit = p.unit AND s.skill IN (SELECT skill FROM safety))
  OR EXISTS (SELECT 1 FROM coming c JOIN stands_on l ON l.skill = c.skill
             WHERE c.student = s.student AND l.below = s.skill) AS deciding,
  s.unit = p.unit AS of_unit
FROM state s JOIN placed p USING (student)
WHERE s.unit <= p.unit AND NOT s.left_out;

-- Entry groups: all members sit in units up to this one, and stay members even when left out elsewhere.
CREATE OR REPLACE TEMP TABLE entry_group AS
SELECT c.student, g.at_least,
  count(*) FILTER (s.state IN ('secure', 'set-aside')) AS good,
  count(*) FILTER (s.state NOT IN ('with-help', 'not-shown', 'slipped')) AS possible
FROM coming c JOIN placed p USING (student)
JOIN some_of g ON g.owner = c.skill
JOIN member m ON m.owner = g.owner AND m.number = g.number
JOIN state s ON s.student = c.student AND s.skill = m.skill
GROUP BY c.student, g.owner, g.number, g.at_least, p.unit
HAVING max(s.unit) <= p.unit;

-- A break: no lesson for so long before the day asked about, or before the latest lesson. With a rhythm
-- (the student's own, else the studio's) it is longer than that.
CREATE OR REPLACE TEMP TABLE away AS
WITH days AS (
  SELECT student, max(day, 2) AS latest FROM lesson_day GROUP BY student
), lasting AS (
  SELECT i.student, 7 * greatest(b.break_weeks,
    1 + coalesce((SELECT r.weeks FROM rhythm r WHERE r.student = i.student), (SELECT weeks FROM studio_rhythm), 0)
  ) AS break_days
  FROM in_band i JOIN band b USING (band)
)
SELECT d.student, t.day - d.latest[1] >= b.break_days
  OR coalesce(d.latest[1] - d.latest[2] >= b.break_days, false) AS away
FROM days d JOIN lasting b USING (student), today t;

-- After a hold: fewer than two days with playing from the latest closing on.
CREATE OR REPLACE TEMP TABLE after_hold AS
WITH closing AS (
  SELECT p.student, max(p.closed) AS day FROM pausing p JOIN today t ON p.closed <= t.day GROUP BY p.student
)
SELECT c.student
FROM closing c LEFT JOIN evidence e ON e.student = c.student AND e.day >= c.day AND NOT e.quiet
GROUP BY c.student HAVING count(DISTINCT e.day) < 2;

CREATE OR REPLACE TEMP TABLE verdict AS
WITH skills AS (
  SELECT student,
    coalesce(bool_or(gap) FILTER (deciding), false) AS gap,
    coalesce(bool_or(NOT good) FILTER (deciding), false) AS loose,
    count(*) FILTER (of_unit AND NOT deciding AND gap) AS rest_gaps,
    count(*) FILTER (of_unit AND NOT deciding AND NOT good) AS rest_loose
  FROM sorted GROUP BY student
), groups AS (
  SELECT student, bool_or(good < at_least AND possible < at_least) AS gap, bool_or(good < at_least) AS loose
  FROM entry_group GROUP BY student
), by_states AS (
  SELECT p.student, CASE
      WHEN k.gap OR g.gap OR k.rest_gaps > b.carry_limit THEN 'not-yet'
      WHEN k.loose OR g.loose OR k.rest_loose > b.carry_limit THEN 'look-again'
      WHEN k.rest_loose > 0 THEN 'ready-taking-along'
      ELSE 'ready' END AS verdict
  FROM placed p JOIN in_band i USING (student) JOIN band b USING (band)
  LEFT JOIN skills k USING (student) LEFT JOIN groups g USING (student)
), held AS (
  SELECT DISTINCT p.student FROM pausing p JOIN today t ON p.closed > t.day
)
SELECT s.student, CASE
    WHEN h.student IS NOT NULL THEN 'paused'
    WHEN v.verdict IS NULL THEN 'not-placed'
    WHEN (a.away OR f.student IS NOT NULL) AND v.verdict IN ('ready', 'ready-taking-along') THEN 'look-again'
    ELSE v.verdict END AS verdict
FROM student s LEFT JOIN held h USING (student) LEFT JOIN by_states v USING (student)
LEFT JOIN away a USING (student) LEFT JOIN after_hold f USING (student);
