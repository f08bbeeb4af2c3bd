/* Protocols at the revisions of a repository, each beside the one before: see versions.h. */
#include "cmd/versions.h"

#include "analysis/context.h"
#include "analysis/diff.h"
#include "analysis/outlook.h"
#include "base/vec.h"
#include "cmd/revision.h"

#include <string.h>

enum { REVISIONS_MOST = 200 };

typedef VEC(ReviewVersion) VersionList;

/* The nursery at a revision, and what is asked of it. */
typedef struct Stand {
    Nursery *nursery;
    FactSource source;
    Contexts *contexts;
} Stand;

static Stand *stand_of(Arena *arena, Nursery *nursery)
{
    Stand *stand = ARENA_NEW(arena, Stand);
    stand->nursery = nursery;
    stand->source = (FactSource){nursery, arena, arena, outlooks_new(arena), false};
    stand->contexts = contexts_new(&stand->source);
    return stand;
}

/* What a protocol promised of whatever plant it is for, kept when its nursery is gone. */
static void keep_promise(Arena *arena, const Stand *stand, const Protocol *protocol, ReviewVersion *version)
{
    const Outlook *outlook = outlook_of(&stand->source, contexts_of_protocol(stand->contexts, protocol));
    size_t count = outlook->stages.count;
    Survival *kept = ARENA_ARRAY(arena, Survival, count);
    if (count) memcpy(kept, outlook->stages.at, count * sizeof *kept);
    for (int measure = 0; measure < REVIEW_MEASURES; measure++)
        version->promise[measure] =
            (YieldStages){kept, review_promise(outlook, protocol, (ReviewMeasure)measure).count};
}

static void add_version(Job *job, VersionList *list, const Stand *stand, const char *protocol, Day since,
                        const char *label)
{
    Name name = names_find(stand->nursery->names, slice_of(protocol));
    const Protocol *stood = name ? nursery_protocol(stand->nursery, name) : NULL;
    if (!stood) return; /* it came to an end */
    for (size_t i = list->count; i-- > 0 && list->at[i].label == label;)
        if (list->at[i].protocol == name) return; /* it has that one */
    ReviewVersion *version = VEC_ADD(job->arena, list);
    *version = (ReviewVersion){.protocol = name, .since = since, .label = label};
    keep_promise(job->arena, stand, stood, version);
}

/* Words and sources make no version. */
static void add_changes(Job *job, VersionList *list, const Stand *stand, const Diff *diff,
                        const Revision *revision)
{
    enum { SHORT = 7 };
    char day[DAY_TEXT];
    day[day_write_iso(day, revision->day)] = 0;
    const char *label = arena_print(job->arena, "%s %.*s", day, SHORT, revision->id);
    for (size_t i = 0; i < diff->count; i++) {
        const Change *change = &diff->changes[i];
        if (change->chapter == CHAPTER_EDITORIAL) continue;
        if (change->owner_kind == BLOCK_PROTOCOL)
            add_version(job, list, stand, change->owner, revision->day, label);
        for (size_t k = 0; k < change->reach_count; k++)
            add_version(job, list, stand, change->reaches[k], revision->day, label);
    }
}

/* Each revision lives in an arena of its own, until the next has been held beside it. */
static void begin(Load *load, const Nursery *beside)
{
    Arena *arena = arena_new(job_out_of_memory);
    Notes *notes = notes_new(arena, JOB_NOTES);
    *load = (Load){.arena = arena, .notes = notes, .alone = true, .without_plans = true};
    load->nursery = nursery_beside(arena, beside, notes);
    load_begin(load);
}

static bool read_revision(Job *job, Load *load, const char *folder, const Revision *revision)
{
    const char *why;
    if (!revision_load(load, revision->id, folder, &why)) {
        job_trouble(job, "revision %s cannot be read: %s", revision->id, why);
        return false;
    }
    load_end(load);
    return true;
}

/* From the oldest revision on, each beside the one before; in the oldest all protocols are new. */
bool versions_read(Job *job, const Load *now, ReviewVersions *versions)
{
    const char *why, *folder = job->options->path_count ? job->options->paths[0] : ".";
    size_t count;
    const Revision *revisions = revisions_of(job->arena, folder, REVISIONS_MOST, &count, &why);
    VersionList list = {0};
    if (!count) {
        job_trouble(job, "versions are read from git: %s", why);
        return false;
    }
    Load before, after;
    begin(&before, now->nursery);
    load_end(&before);
    bool good = true;
    for (size_t i = count; i-- > 0 && good;) {
        begin(&after, now->nursery);
        good = read_revision(job, &after, folder, &revisions[i]);
        if (good)
            add_changes(job, &list, stand_of(after.arena, after.nursery),
                        diff_nurseries(after.arena, before.nursery, after.nursery, NULL), &revisions[i]);
        arena_free(before.arena);
        before = after;
    }
    arena_free(before.arena);
    *versions = (ReviewVersions){list.at, list.count};
    return good;
}
