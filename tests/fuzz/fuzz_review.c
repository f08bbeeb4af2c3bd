/* Reads any bytes as a nursery with records and asks what these teach: reviews in all groupings, courses,
 * trials, in every form. Nothing may crash, hang or leak, and no figure may be outside of what it can be. */
#include "base/buffer.h"
#include "syntax/read.h"
#include "write/course.h"
#include "write/review.h"
#include "write/trial_result.h"

#include <math.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

static void exhausted(size_t wanted)
{
    (void)wanted;
    abort();
}

static void must(bool holds)
{
    if (!holds) abort();
}

static void must_be_share(double share)
{
    must(share >= 0 && share <= 1); /* and is a number */
}

static void visit_all(Nursery *nursery, Day today, SurveyVisit *visit, void *to)
{
    SurveyFilter filter = {.from = DAY_NONE, .to = DAY_NONE, .today = today};
    Survey *survey = survey_new(nursery, &filter, exhausted);
    survey_visit(survey, visit, to);
    survey_plan(survey, plan_of_blocks(nursery));
    survey_free(survey);
}

static void check_figure(const ReviewFigure *figure)
{
    if (!figure->spread.batches) return;
    double share = tally_share(figure->spread.total);
    must_be_share(share);
    must_be_share(figure->bounds.low);
    must_be_share(figure->bounds.high);
    must(figure->bounds.low <= share + 1e-12 && share <= figure->bounds.high + 1e-12);
    if (figure->spread.fitted) must_be_share(figure->spread.chance);
    if (figure->supported) must(figure->range.low <= figure->range.high);
    if (figure->verdict != PROMISE_UNTRIED) must_be_share(figure->chance);
    if (figure->promised)
        must(figure->promised_low <= figure->promised_mean && figure->promised_mean <= figure->promised_high);
    if (figure->compared)
        must(figure->difference.low <= figure->points + 1e-12 &&
             figure->points <= figure->difference.high + 1e-12);
}

static void review(Arena *arena, Nursery *nursery, Day today, Buffer *out)
{
    static ReviewWriter *const writers[] = {review_write_text, review_write_csv, review_write_json};
    for (int by = 0; by < REVIEW_BY_VERSION; by++) {
        ReviewAsked asked = {.by = (ReviewBy)by};
        ReviewReport report = {.arena = arena, .by = asked.by, .by_word = "year"};
        Review *review = review_new(arena, nursery, &asked);
        visit_all(nursery, today, review_batch, review);
        report.groups = review_finish(review, &report.count);
        report.unrecorded = review_unrecorded(review);
        for (size_t i = 0; i < report.count; i++)
            for (int m = 0; m < REVIEW_MEASURES; m++) check_figure(&report.groups[i].figures[m]);
        for (size_t i = 0; i < sizeof writers / sizeof *writers; i++) writers[i](out, &report);
        buffer_clear(out);
    }
}

static void follow(Arena *arena, Nursery *nursery, Day today, bool by_batch, Buffer *out)
{
    static CourseWriter *const writers[] = {course_write_text, course_write_csv, course_write_json,
                                            course_write_svg};
    CourseReport report = {.arena = arena};
    Courses *courses = courses_new(arena, nursery, by_batch, 0);
    visit_all(nursery, today, courses_batch, courses);
    report.list = courses_list(courses, &report.count);
    for (size_t i = 0; i < report.count; i++)
        for (size_t w = 0; w < report.list[i].week_count; w++) {
            const CourseWeek *week = &report.list[i].weeks[w];
            must(isfinite(week->share) && week->share >= 0 && week->alive >= 0);
        }
    for (size_t i = 0; i < sizeof writers / sizeof *writers; i++) writers[i](out, &report);
    buffer_clear(out);
}

typedef struct TrialReader {
    Arena *arena;
    Trials trials;
    Buffer *out;
} TrialReader;

static void read_trials(void *to, const FactSource *source, const SurveyBatch *batch)
{
    TrialReader *reader = to;
    for (size_t i = 0; i < reader->trials.count; i++) {
        const Trial *trial = &reader->trials.at[i];
        if (!trial->batch || !slice_equal(batch->id, name_slice(trial->batch))) continue;
        TrialResult result = trial_result(source, trial, batch);
        for (size_t p = 0; p < result.pair_count; p++) must_be_share(result.pairs[p].chance);
        trial_result_write_text(reader->out, reader->arena, &result);
        trial_result_write_json(reader->out, reader->arena, &result);
        buffer_clear(reader->out);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    if (length > 1 << 16) return 0;
    Arena *arena = arena_new(exhausted);
    Notes *notes = notes_new(arena, 100);
    Nursery *nursery = nursery_new(arena, notes);
    Text *text = text_new(arena, "fuzz.heel", arena_copy(arena, bytes, length), (uint32_t)length, 1);
    nursery_add(nursery, syntax_read(arena, text, notes), false);
    nursery_finish(nursery);
    Day today;
    day_make(2026, 12, 1, &today);
    Buffer *out = buffer_in_memory(arena);
    review(arena, nursery, today, out);
    follow(arena, nursery, today, false, out);
    follow(arena, nursery, today, true, out);
    TrialReader reader = {arena, trials_of(nursery), out};
    visit_all(nursery, today, read_trials, &reader);
    arena_free(arena);
    return 0;
}
