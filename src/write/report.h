/* Findings to bytes. Each form is one function; none of them computes anything. */
#ifndef WRITE_REPORT_H
#define WRITE_REPORT_H

#include "analysis/summary.h"
#include "base/buffer.h"
#include "base/note.h"

typedef struct Report {
    Notes *notes;
    const Summary *summary; /* text: NULL when there is none */
    const char *command;    /* "check" */
    bool color;             /* text: write colours */
    int status;
} Report;

typedef void ReportWriter(Buffer *out, const Report *report);

ReportWriter report_write_text;
ReportWriter report_write_json;  /* version 1; schema in docs/findings.schema.json */
ReportWriter report_write_sarif; /* SARIF 2.1.0 */

#endif
