/* Protocols at the revisions of a repository, each beside the one before: see versions.h. */
#include "cmd/versions.h"

#include "analysis/context.h"
#include "analysis/diff.h"
#include "analysis/outlook.h"
#include "base/vec.h"
#include "cmd/revision.h"

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

/* What a protocol promised of whatever plant it is for. */
static const Outlook *outlook_then(const Stand *stand, const Protocol *protocol)
{
    return outlook_of(&stand->source, contexts_of_protocol(stand->contexts, protocol));
}

static void add_version(Job *job, VersionList *list, const Stand *stand, const char *protocol, Day since,
                        const char *label)
{
    Name name = names_find(stand->nursery->names, slice_of(protocol));
    const Protocol *stood = name ? nursery_protocol(stand->nursery, name) : NULL;
    if (!stood) return; /* it came to an end */
    for (size_t i = list->count; i-- > 0 && list->at[i].label == label;)
        if (list->at[i].protocol == name) return; /* it has that one */
    VEC_PUSH(job->arena, list, ((ReviewVersion){name, since, label, stood, outlook_then(stand, stood)}));
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

static bool read_revision(Job *job, Load *load, const Nursery *beside, const char *folder,
                          const Revision *revision)
{
    const char *why;
    Notes *notes = notes_new(job->arena, JOB_NOTES);
    *load = (Load){.arena = job->arena, .notes = notes, .alone = true, .without_plans = true};
    load->nursery = nursery_beside(beside, notes);
    load_begin(load);
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
    Load before = {.arena = job->arena, .notes = notes_new(job->arena, JOB_NOTES)}, after;
    if (!count) {
        job_trouble(job, "versions are read from git: %s", why);
        return false;
    }
    before.nursery = nursery_beside(now->nursery, before.notes);
    load_begin(&before);
    load_end(&before);
    for (size_t i = count; i-- > 0;) {
        if (!read_revision(job, &after, now->nursery, folder, &revisions[i])) return false;
        add_changes(job, &list, stand_of(job->arena, after.nursery),
                    diff_nurseries(job->arena, before.nursery, after.nursery, NULL), &revisions[i]);
        before = after;
    }
    *versions = (ReviewVersions){list.at, list.count};
    return true;
}
