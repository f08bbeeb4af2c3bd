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

#endif
