/* What the commands that reckon share: reading, which batches, telling what could not be read. */
#ifndef CMD_FIGURES_H
#define CMD_FIGURES_H

#include "analysis/survey.h"
#include "cmd/tables.h"

/* Reads the nursery and the filter (--batch, --from, --to, --today). False: told. */
bool figures_begin(Job *job, Load *load, SurveyFilter *filter);
/* Gives every stretch of batches, of blocks and tables; or has a survey visit them. That none of them is the
 * one
 * --batch asks for is noted. */
void figures_plans(Job *job, Load *load, TableVisit *give, void *to);
void figures_survey(Job *job, Load *load, Survey *survey);
/* Tells what could not be read on standard error; gives the status. */
int figures_end(Job *job);

#endif
