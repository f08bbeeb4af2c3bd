/* Weeks of batches added up: see course.h. */
#include "analysis/course.h"

#include "analysis/outlook.h"
#include "base/vec.h"

#include <stdlib.h>

enum { WEEK = 7 };

struct Courses {
    Arena *arena;
    Nursery *nursery;
    bool by_batch;
    int season;
    Ledgers *ledgers;
    VEC(Course) list;
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

static void begin_course(Courses *courses, const FactSource *source, const SurveyBatch *batch, Course *course)
{
    Outlook *outlook = outlook_of(source, batch->subject->context);
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
    for (size_t i = 0; i < courses->list.count; i++)
        if (slice_is(name, courses->list.at[i].name)) return &courses->list.at[i];
    Course *course = VEC_ADD(courses->arena, &courses->list);
    *course = (Course){.name = arena_copy(courses->arena, name.at, name.length)};
    begin_course(courses, source, batch, course);
    return course;
}

/* ------------------------------------------------------------------ what was recorded */

/* What a batch comes to by a day, line by line. */
typedef struct Followed {
    const RecordLine *next;
    int64_t rooted;      /* by the last full count; -1: there is none */
    int64_t split, sold; /* gone on elsewhere alive */
} Followed;

static void follow(Followed *followed, Day day)
{
    for (; followed->next && followed->next->day <= day; followed->next = followed->next->next) {
        const RecordLine *line = followed->next;
        bool named = false;
        int64_t rooted = line->verb == VERB_COUNTED ? record_sum(line, CLASS_ROOTED, &named) : 0;
        if (named) followed->rooted = rooted;
        if (line->verb == VERB_SPLIT) followed->split += line->count;
        if (line->verb == VERB_SOLD) followed->sold += line->count;
    }
}

static Day last_known(const Ledger *ledger)
{
    return ledger->step_count ? ledger->steps[ledger->step_count - 1].line->day : ledger->began;
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
    Day last = last_known(&ledger);
    Followed followed = {.next = record ? record->lines : NULL, .rooted = -1};
    size_t step = 0;
    int64_t alive = ledger.stuck;
    size_t weeks =
        (size_t)((last - ledger.began + WEEK - 1) / WEEK) + 1; /* until all is in that was written */
    if (weeks > COURSE_WEEKS) weeks = COURSE_WEEKS;
    if (weeks > course->week_count) course->week_count = weeks;
    bool given_up = ledger.ended && ledger.ended->verb == VERB_ABANDONED;
    for (Day w = 0; w < COURSE_WEEKS; w++) {
        Day day = ledger.began + w * WEEK;
        if (day > batch->today && (size_t)w >= weeks) break;
        for (; step < ledger.step_count && ledger.steps[step].line->day <= day; step++)
            if (ledger.steps[step].basis != LEDGER_UNKNOWN) alive = ledger.steps[step].alive;
        CourseWeek *week = &course->weeks[w];
        follow(&followed, day);
        if (given_up && ledger.ended->day <= day) alive = followed.rooted = 0;
        int64_t of = ledger.stuck - followed.split;
        week->alive += alive + followed.sold;
        week->of += of;
        if (followed.rooted >= 0) {
            week->rooted = (week->rooted < 0 ? 0 : week->rooted) + followed.rooted;
            week->rooted_of += of;
        }
    }
}

static int by_name(const void *a, const void *b)
{
    return slice_compare(slice_of(((const Course *)a)->name), slice_of(((const Course *)b)->name));
}

const Course *courses_list(Courses *courses, size_t *count)
{
    *count = courses->list.count;
    if (*count) qsort(courses->list.at, *count, sizeof *courses->list.at, by_name);
    return courses->list.at;
}
