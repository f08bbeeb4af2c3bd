/* A nursery as it stood at a revision of its git repository.
 *
 * Read through libgit2, which is opened when the first revision is asked for and by no other command. Nothing
 * of the working folder is touched, no program is run and no hook.
 */
#ifndef CMD_REVISION_H
#define CMD_REVISION_H

#include "cmd/load.h"

/* Adds to a load, between its begin and its end, the nursery in `folder` at `revision` ("HEAD~20", a tag, a
 * commit). False: *why says in one sentence what is wrong; nothing was added. */
bool revision_load(Load *load, const char *revision, const char *folder, const char **why);

/* One of the commits that changed what lies in a folder. */
typedef struct Revision {
    const char *id; /* 40 hex digits */
    Day day;        /* of the commit, in the time of whoever made it */
} Revision;

/* Those behind HEAD by first parents, the youngest first, at most `most` of them; *count of them. NULL: *why
 * says in one sentence what is wrong. */
const Revision *revisions_of(Arena *arena, const char *folder, size_t most, size_t *count, const char **why);

#endif
