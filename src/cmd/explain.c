/* heelcut explain: read the nursery, find what is called so, write a page about each. */
#include "cmd/tables.h"

#include "base/vec.h"
#include "write/explain.h"

#include <string.h>

enum { NAMED_PAGES = 10, NEAR_NAMES = 5 };

static const char *const forms[] = {"text", "json", NULL};
static ExplanationWriter *const writers[] = {explanation_write_text, explanation_write_json};

/* What was named at the command and cannot be read; other faults are check's to tell. */
static bool told_unreadable(Job *job)
{
    size_t count;
    bool told = false;
    Note *const *notes = notes_sorted(job->notes, &count);
    for (size_t i = 0; i < count; i++) {
        if (strcmp(notes[i]->name, "use") || notes[i]->place[0].span.text) continue;
        job_trouble(job, "%s", notes[i]->message);
        told = true;
    }
    return told;
}

static int refuse(Job *job, const Topics *topics, const char *name)
{
    Slice near[NEAR_NAMES];
    size_t count = topics_near(topics, slice_of(name), near, NEAR_NAMES);
    const char *hint = "";
    for (size_t i = 0; i < count; i++)
        hint = arena_print(job->arena, "%s%s%.*s", hint, i ? ", " : "; did you mean ", SLICE_ARG(near[i]));
    return job_trouble(job, "nothing is called '%s'%s%s", name, hint,
                       count ? "?" : "; heelcut explain lists what there is");
}

static bool may_stand_in_tables(const Topic *topic)
{
    return topic->kind == TOPIC_FIELD || topic->kind == TOPIC_WORD || topic->kind == TOPIC_UNIT ||
           topic->kind == TOPIC_NAMED;
}

typedef struct Pages {
    Page *const *at;
    size_t count;
} Pages;

static bool find_uses_in_stretch(void *to, const Plan *plan)
{
    const Pages *pages = to;
    for (size_t i = 0; i < pages->count; i++) page_find_uses_in_plan(plan, pages->at[i]);
    return true;
}

static void find_uses(Load *load, Page *const *pages, size_t count)
{
    bool in_tables = false;
    for (size_t i = 0; i < count; i++) {
        page_find_uses(load->nursery, pages[i]);
        in_tables = in_tables || may_stand_in_tables(pages[i]->topic);
    }
    Pages all = {pages, count};
    if (in_tables) tables_visit(load, find_uses_in_stretch, &all);
}

int command_explain(Job *job)
{
    const Options *options = job->options;
    int form = job_form(job, forms);
    if (form < 0) return STATUS_TROUBLE;
    Load load = {.arena = job->arena, .notes = job->notes, .nursery = nursery_new(job->arena, job->notes)};
    size_t names = options->path_count ? 1 : 0;
    load_paths(&load, options->paths + names, options->path_count - names);
    if (told_unreadable(job)) return STATUS_TROUBLE;
    Topics topics = topics_of(job->arena, load.nursery);
    Explanation explanation = {.topics = &topics};
    if (names) {
        VEC(Page *) pages = {0};
        size_t named = 0;
        explanation.name = slice_of(options->paths[0]);
        for (size_t i = 0; i < topics.count; i++) {
            if (!slice_equal(topics.at[i].name, explanation.name)) continue;
            if (topics.at[i].kind == TOPIC_NAMED && ++named > NAMED_PAGES) continue;
            VEC_PUSH(job->arena, &pages, page_of(load.nursery, &topics.at[i], job_out_of_memory));
        }
        if (!pages.count) return refuse(job, &topics, options->paths[0]);
        find_uses(&load, pages.at, pages.count);
        explanation.pages = pages.at;
        explanation.page_count = pages.count;
        explanation.left_out = named > NAMED_PAGES ? named - NAMED_PAGES : 0;
    }
    writers[form](job->out, &explanation);
    return STATUS_CLEAN;
}
