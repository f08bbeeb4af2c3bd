/* Weeks of batches added up: see course.h. */
#include "analysis/course.h"

#include "analysis/outlook.h"
#include "base/vec.h"

#include <stdlib.h>

enum { WEEK = 7 };

typedef struct Kept {
    Course course;
    const Outlook *outlook; /* of its first batch */
} Kept;

struct Courses {
    Arena *arena;
    Nursery *nursery;
    bool by_batch;
    int season;
    Ledgers *ledgers;
    VEC(Kept) list;
};

Courses *courses_new(Arena *arena, Nursery *nursery, bool by_batch, int season)
{
    Courses *courses = ARENA_NEW(arena, Courses);
    *courses = (Courses){.arena = arena,
                         .nursery = nursery,
                         .by_batch = by_batch,
                         .season = season,
                         .ledgers = ledgers_new(arena, nursery)};
    return courses;
}

/* ------------------------------------------------------------------ what is promised */

/* The share that has come through all stages that are over so many days after sticking. */
static void promise_on(const FactSource *source, const SurveyBatch *batch, Outlook *outlook, Day days,
                       CourseWeek *week)
{
    const Protocol *protocol = batch->subject->context->protocol;
    const Timeline *timeline = batch->subject->timeline;
    week->low = week->mean = week->high = 1;
    for (size_t k = 0; k < outlook->stages.count; k++)
        for (size_t i = 0; i < protocol->stage_count; i++) {
            Day end = timeline->stages[i].end.on[RUN_PLANNED] - timeline->stick.on[RUN_PLANNED];
            if (!slice_is(name_slice(protocol->stages[i]->name), outlook->names[k]) || end > days) continue;
            const OutlookStage *share = outlook_share(source, outlook, k);
            *week = (CourseWeek){.rooted = -1, .low = share->low, .mean = share->mean, .high = share->high};
        }
}

static void begin_course(Courses *courses, const FactSource *source, const SurveyBatch *batch, Kept *kept)
{
    Outlook *outlook = outlook_of(source, batch->subject->context);
    Course *course = &kept->course;
    kept->outlook = outlook;
    course->weeks = ARENA_ARRAY(courses->arena, CourseWeek, COURSE_WEEKS);
    for (Day w = 0; w < COURSE_WEEKS; w++) {
        CourseWeek *week = &course->weeks[w];
        week->rooted = -1;
        week->mean = -1;
        if (batch->dated && outlook->stages.count) promise_on(source, batch, outlook, w * WEEK, week);
    }
}

static Course *course_of(Courses *courses, const FactSource *source, const SurveyBatch *batch)
{
    Slice name = courses->by_batch ? batch->id : name_slice(batch->subject->context->protocol->name);
    for (size_t i = 0; i < courses->list.count; i++) {
        Kept *kept = &courses->list.at[i];
        if (!slice_is(name, kept->course.name)) continue;
        if (outlook_of(source, batch->subject->context) != kept->outlook) kept->course.mixed = true;
        return &kept->course;
    }
    Kept *kept = VEC_ADD(courses->arena, &courses->list);
    *kept = (Kept){.course = {.name = arena_copy(courses->arena, name.at, name.length)}};
    begin_course(courses, source, batch, kept);
    return &kept->course;
}

/* ------------------------------------------------------------------ what was recorded */

/* What a batch comes to by a day, line by line. */
typedef struct Followed {
    const Ledger *ledger;
    size_t step;
    const RecordLine *next;
    int64_t alive;       /* in the batch */
    int64_t rooted;      /* by the last full count; -1: there is none */
    int64_t split, sold; /* gone on elsewhere alive */
} Followed;

static void follow(Followed *followed, Day day)
{
    const Ledger *ledger = followed->ledger;
    for (; followed->step < ledger->step_count && ledger->steps[followed->step].line->day <= day;
         followed->step++)
        if (ledger->steps[followed->step].basis != LEDGER_UNKNOWN)
            followed->alive = ledger->steps[followed->step].alive;
    for (; followed->next && followed->next->day <= day; followed->next = followed->next->next) {
        const RecordLine *line = followed->next;
        bool named = false;
        int64_t rooted = line->verb == VERB_COUNTED ? record_sum(line, CLASS_ROOTED, &named) : 0;
        if (named) followed->rooted = rooted;
        if (line->verb == VERB_SPLIT) followed->split += line->count;
        if (line->verb == VERB_SOLD) followed->sold += line->count;
    }
    if (ledger->ended && ledger->ended->verb == VERB_ABANDONED && ledger->ended->day <= day)
        followed->alive = followed->rooted = 0;
}

static void add_week(CourseWeek *week, const Followed *before, const Followed *now)
{
    int64_t of = now->ledger->stuck - now->split;
    week->alive += now->alive + now->sold;
    week->before += before->alive + before->sold - (now->split - before->split);
    week->of += of;
    if (now->rooted < 0) return;
    week->rooted = (week->rooted < 0 ? 0 : week->rooted) + now->rooted;
    week->rooted_of += of;
}

/* The weeks until all is in that was written. */
static size_t weeks_written(const Ledger *ledger)
{
    Day last = ledger->step_count ? ledger->steps[ledger->step_count - 1].line->day : ledger->began;
    size_t weeks = (size_t)((last - ledger->began + WEEK - 1) / WEEK) + 1;
    return weeks < COURSE_WEEKS ? weeks : COURSE_WEEKS;
}

void courses_batch(void *to, const FactSource *source, const SurveyBatch *batch)
{
    Courses *courses = to;
    const Block *record = batch->subject->record;
    Name name = names_find(courses->nursery->names, batch->id);
    Ledger ledger = ledger_of(courses->ledgers, source->passing, name, record, batch->today);
    if (ledger.began == DAY_NONE || !ledger.stuck) return;
    if (courses->season && day_year(ledger.began) != courses->season) return;
    Course *course = course_of(courses, source, batch);
    course->batches++;
    course->stuck += ledger.stuck;
    size_t weeks = weeks_written(&ledger);
    if (weeks > course->week_count) course->week_count = weeks;
    Followed now = {&ledger, .next = record ? record->lines : NULL, .alive = ledger.stuck, .rooted = -1};
    for (Day w = 0; w < COURSE_WEEKS; w++) {
        Day day = ledger.began + w * WEEK;
        Followed before = now;
        if (day > batch->today && (size_t)w >= weeks) break;
        follow(&now, day);
        add_week(&course->weeks[w], &before, &now);
    }
}

/* ------------------------------------------------------------------ the whole */

/* Week by week what is left of those followed so far: batches that were stuck later drop out without leaving
 * a step behind. */
static void take_shares(Course *course)
{
    double share = 1;
    for (size_t w = 0; w < course->week_count; w++) {
        CourseWeek *week = &course->weeks[w];
        if (!w && week->of > 0) share = (double)week->alive / (double)week->of;
        if (w && week->before > 0) share *= (double)week->alive / (double)week->before;
        week->share = share;
        if (course->mixed) week->mean = -1;
    }
}

static int by_name(const void *a, const void *b)
{
    return slice_compare(slice_of(((const Course *)a)->name), slice_of(((const Course *)b)->name));
}

const Course *courses_list(Courses *courses, size_t *count)
{
    Course *list = ARENA_ARRAY(courses->arena, Course, courses->list.count);
    *count = courses->list.count;
    for (size_t i = 0; i < *count; i++) {
        list[i] = courses->list.at[i].course;
        take_shares(&list[i]);
    }
    if (*count) qsort(list, *count, sizeof *list, by_name);
    return list;
}
