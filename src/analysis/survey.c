/* Visiting batches: see survey.h. */
#include "analysis/survey.h"

#include "analysis/context.h"
#include "analysis/outlook.h"
#include "analysis/timelines.h"

struct Survey {
    Nursery *nursery;
    SurveyFilter filter;
    SurveyVisit *visit;
    void *to;
    FactSource source;
    ArenaMark passing;
    Contexts *contexts;
    Timelines *timelines;
};

Survey *survey_new(Nursery *nursery, const SurveyFilter *filter, ArenaExhausted *exhausted)
{
    Survey *survey = ARENA_NEW(nursery->arena, Survey);
    *survey = (Survey){.nursery = nursery, .filter = *filter};
    survey->source =
        (FactSource){nursery, nursery->arena, arena_new(exhausted), outlooks_new(nursery->arena), false};
    survey->passing = arena_mark(survey->source.passing);
    survey->contexts = contexts_new(&survey->source);
    survey->timelines = timelines_new(&survey->source, filter->today, exhausted);
    return survey;
}

const FactSource *survey_source(const Survey *survey)
{
    return &survey->source;
}

void survey_visit(Survey *survey, SurveyVisit *visit, void *to)
{
    survey->visit = visit;
    survey->to = to;
}

void survey_free(Survey *survey)
{
    timelines_free(survey->timelines);
    arena_free(survey->source.passing);
}

/* A batch without dates is in no span of days, and in the open one. */
static bool in_span(const SurveyFilter *filter, const Timeline *timeline)
{
    if (filter->from == DAY_NONE && filter->to == DAY_NONE) return true;
    if (!timeline) return false;
    if (filter->from != DAY_NONE && timeline->finish.on[RUN_LATE] < filter->from) return false;
    return filter->to == DAY_NONE || timeline->stick.on[RUN_EARLY] <= filter->to;
}

static bool is_asked(const SurveyFilter *filter, const Context *context)
{
    Name protocol = context->protocol->name;
    return (!filter->protocol && !filter->beside) || protocol == filter->protocol ||
           protocol == filter->beside;
}

void survey_plan(Survey *survey, const Plan *plan)
{
    for (size_t row = 0; row < plan->rows; row++) {
        if (survey->filter.batch.length && !slice_equal(plan->ids[row], survey->filter.batch)) continue;
        Context *context = contexts_of_row(survey->contexts, plan, row);
        if (!context) continue; /* what it follows is not known, and that was reported */
        if (!is_asked(&survey->filter, context)) continue;
        Subject subject = subject_of_batch(context, plan, row);
        const Timeline *timeline = timelines_of(survey->timelines, &subject);
        bool dated = timeline && timeline->dated;
        if (dated) subject.timeline = timeline;
        if (!in_span(&survey->filter, subject.timeline)) continue;
        SurveyBatch batch = {&subject, plan->ids[row], batch_size(&subject), dated, survey->filter.today};
        survey->visit(survey->to, &survey->source, &batch);
        arena_release(survey->source.passing, survey->passing);
    }
}
