/* Since when protocols say what they say, from the history of the git repository that holds the nursery.
 *
 * A protocol has a new version with each commit after which it, or a base or a practice of it, means
 * something else to whoever works by it; words, reasons and sources make none.
 */
#ifndef CMD_VERSIONS_H
#define CMD_VERSIONS_H

#include "analysis/review.h"
#include "cmd/job.h"

/* The versions of the nursery that was read from the paths of the command, or of this folder, in the last 200
 * commits that changed it. False: told. */
bool versions_read(Job *job, const Load *now, ReviewVersions *versions);

#endif
