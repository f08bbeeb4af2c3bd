/* heelcut review: what the records teach. */
#include "cmd/figures.h"
#include "cmd/versions.h"
#include "write/course.h"
#include "write/review.h"
#include "write/trial_result.h"

#include <string.h>

static const char *const forms[] = {"text", "csv", "json", NULL};

/* ------------------------------------------------------------------ one trial */

static TrialResultWriter *const trial_writers[] = {trial_result_write_text, trial_result_write_csv,
                                                   trial_result_write_json};

typedef struct TrialAsked {
    const Trial *trial;
    TrialResult result;
    bool found; /* its batch */
} TrialAsked;

static void visit_trial(void *to, const FactSource *source, const SurveyBatch *batch)
{
    TrialAsked *asked = to;
    if (!asked->trial->batch || !slice_equal(batch->id, name_slice(asked->trial->batch))) return;
    asked->result = trial_result(source, asked->trial, batch);
    asked->found = true;
}

static int read_trial(Job *job, Load *load, const SurveyFilter *filter)
{
    int form = job_form(job, forms);
    const char *name = job->options->value[OPTION_TRIAL];
    if (form < 0) return STATUS_TROUBLE;
    if (!job_option_names(job, load->nursery, OPTION_TRIAL, BLOCK_TRIAL)) return STATUS_TROUBLE;
    Trials trials = trials_of(load->nursery);
    TrialAsked asked = {.trial = trials_called(&trials, names_find(load->nursery->names, slice_of(name)))};
    Survey *survey = survey_new(load->nursery, filter, job_out_of_memory);
    survey_visit(survey, visit_trial, &asked);
    figures_survey(job, load, survey);
    survey_free(survey);
    if (!asked.found)
        return job_trouble(job, "the batch in which %s lies is not planned, or what it follows is not known",
                           name);
    trial_writers[form](job->out, job->arena, &asked.result);
    return figures_end(job);
}

/* ------------------------------------------------------------------ week by week */

static int draw_courses(Job *job, Load *load, const SurveyFilter *filter, int season)
{
    static const char *const drawn[] = {"text", "csv", "json", "svg", NULL};
    static CourseWriter *const course_writers[] = {course_write_text, course_write_csv, course_write_json,
                                                   course_write_svg};
    int form = job_form(job, drawn);
    if (form < 0) return STATUS_TROUBLE;
    Courses *courses = courses_new(job->arena, load->nursery, filter->batch.length > 0, season);
    Survey *survey = survey_new(load->nursery, filter, job_out_of_memory);
    survey_visit(survey, courses_batch, courses);
    figures_survey(job, load, survey);
    CourseReport report = {.arena = job->arena};
    report.list = courses_list(courses, &report.count);
    course_writers[form](job->out, &report);
    survey_free(survey);
    return figures_end(job);
}

/* ------------------------------------------------------------------ all */

static ReviewWriter *const writers[] = {review_write_text, review_write_csv, review_write_json};

static const char *const groupings[REVIEW_BYS] = {[REVIEW_BY_PROTOCOL] = "protocol",
                                                  [REVIEW_BY_YEAR] = "year",
                                                  [REVIEW_BY_PLACE] = "place",
                                                  [REVIEW_BY_PLANT] = "plant",
                                                  [REVIEW_BY_VERSION] = "version"};

static bool read_by(Job *job, ReviewBy *by)
{
    const char *word = job->options->value[OPTION_GROUP];
    *by = REVIEW_BY_PROTOCOL;
    for (int i = 0; word && i < REVIEW_BYS; i++)
        if (!strcmp(groupings[i], word)) *by = (ReviewBy)i;
    if (!word || !strcmp(groupings[*by], word)) return true;
    job_trouble(job, "--by takes protocol, version, year, place or plant, not '%s'", word);
    return false;
}

static bool read_season(Job *job, int *season)
{
    const char *word = job->options->value[OPTION_SEASON];
    Number year = NUMBER(0);
    *season = 0;
    if (!word) return true;
    if (strlen(word) == 4 && number_read(slice_of(word), &year) && year.den == 1) *season = (int)year.num;
    if (*season >= 1900) return true;
    job_trouble(job, "--season takes the year of sticking, as 2027, not '%s'", word);
    return false;
}

static int review_all(Job *job, Load *load, const SurveyFilter *filter, int season)
{
    int form = job_form(job, forms);
    ReviewAsked asked = {.season = season, .beside = filter->beside};
    if (form < 0 || !read_by(job, &asked.by)) return STATUS_TROUBLE;
    if (asked.by == REVIEW_BY_VERSION && asked.beside)
        return job_trouble(job,
                           "--beside goes with --by year, place or plant: versions of two protocols have "
                           "no days in common");
    if (asked.by == REVIEW_BY_VERSION && !versions_read(job, load, &asked.versions)) return STATUS_TROUBLE;
    Review *review = review_new(job->arena, load->nursery, &asked);
    Survey *survey = survey_new(load->nursery, filter, job_out_of_memory);
    survey_visit(survey, review_batch, review);
    figures_survey(job, load, survey);
    ReviewReport report = {.arena = job->arena, .by = asked.by, .by_word = groupings[asked.by]};
    report.groups = review_finish(review, &report.count);
    report.unrecorded = review_unrecorded(review);
    writers[form](job->out, &report);
    survey_free(survey);
    return figures_end(job);
}

/* Of two protocols each has to be named. */
static bool read_protocols(Job *job, const Load *load, SurveyFilter *filter)
{
    const char *protocol = job->options->value[OPTION_PROTOCOL], *beside = job->options->value[OPTION_BESIDE];
    if (!job_option_names(job, load->nursery, OPTION_PROTOCOL, BLOCK_PROTOCOL) ||
        !job_option_names(job, load->nursery, OPTION_BESIDE, BLOCK_PROTOCOL))
        return false;
    if (protocol) filter->protocol = names_find(load->nursery->names, slice_of(protocol));
    if (beside) filter->beside = names_find(load->nursery->names, slice_of(beside));
    if (!beside || (protocol && filter->protocol != filter->beside)) return true;
    job_trouble(job, "--beside sets %s beside another protocol: say which with --protocol", beside);
    return false;
}

/* What one of them asks the other does not do: no option is passed over. */
static bool go_together(Job *job)
{
    static const struct {
        Option mode, other;
        const char *told;
    } apart[] = {
        {OPTION_TRIAL, OPTION_COURSE, "--trial reads one trial: --course is not drawn of it"},
        {OPTION_TRIAL, OPTION_GROUP, "--trial reads one trial: there is nothing to group --by"},
        {OPTION_TRIAL, OPTION_SEASON, "--trial reads one trial, whatever its --season"},
        {OPTION_TRIAL, OPTION_PROTOCOL, "--trial reads one trial, whatever its --protocol"},
        {OPTION_TRIAL, OPTION_BATCH, "--trial reads one trial, in its own batch: leave out --batch"},
        {OPTION_COURSE, OPTION_GROUP,
         "--course follows protocols, or one --batch: for a year ask with --season instead of --by"}};
    for (size_t i = 0; i < sizeof apart / sizeof *apart; i++)
        if (job->options->value[apart[i].mode] && job->options->value[apart[i].other]) {
            job_trouble(job, "%s", apart[i].told);
            return false;
        }
    return true;
}

int command_review(Job *job)
{
    Load load;
    SurveyFilter filter;
    int season;
    if (!go_together(job) || !figures_begin(job, &load, &filter) || !read_protocols(job, &load, &filter) ||
        !read_season(job, &season))
        return STATUS_TROUBLE;
    if (job->options->value[OPTION_TRIAL]) return read_trial(job, &load, &filter);
    return job->options->value[OPTION_COURSE] ? draw_courses(job, &load, &filter, season)
                                              : review_all(job, &load, &filter, season);
}
