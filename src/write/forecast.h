/* What batches will come to, to bytes. */
#ifndef WRITE_FORECAST_H
#define WRITE_FORECAST_H

#include "analysis/forecast.h"
#include "base/buffer.h"

typedef struct ForecastReport ForecastReport;

ForecastReport *forecast_report(Arena *arena, bool explain);
void forecast_report_add(ForecastReport *report, Slice batch, const Forecast *forecast);

typedef void ForecastWriter(Buffer *out, ForecastReport *report);
ForecastWriter forecast_write_text;
ForecastWriter forecast_write_csv;
ForecastWriter forecast_write_json;

#endif
