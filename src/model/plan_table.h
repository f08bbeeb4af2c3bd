/* What plan.c needs of tables. Private to src/model. */
#ifndef MODEL_PLAN_TABLE_H
#define MODEL_PLAN_TABLE_H

#include "model/plan.h"

Span table_place(const Plan *plan, size_t row, const Field *field);

#endif
