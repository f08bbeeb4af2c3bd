/* What trials showed, to bytes. */
#ifndef WRITE_TRIAL_RESULT_H
#define WRITE_TRIAL_RESULT_H

#include "analysis/trial_result.h"
#include "base/buffer.h"

typedef void TrialResultWriter(Buffer *out, Arena *arena, const TrialResult *result);
TrialResultWriter trial_result_write_text; /* a row a way, and in plain words what it means */
TrialResultWriter trial_result_write_csv;
TrialResultWriter trial_result_write_json;

#endif
