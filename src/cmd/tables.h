/* Walking through the tables of a plan. */
#ifndef CMD_TABLES_H
#define CMD_TABLES_H

#include "cmd/job.h"

/* Looks at one stretch of batches. False: enough. */
typedef bool TableVisit(void *to, const Plan *plan);

/* Gives each stretch of every table to a visit until it has enough, and closes the files. A table that could
 * not be read to its end keeps the job from being done. */
void tables_visit(Load *load, TableVisit *visit, void *to);

#endif
