/* Findings for programs: one object, version 1, as docs/findings.schema.json describes it. */
#include "write/report.h"

#include "base/json.h"
#include "write/place.h"

#include <string.h>

static void write_span(Json *json, Span span)
{
    Place place = place_of(span);
    json_field_text(json, "file", place.file);
    json_field_integer(json, "line", place.line);
    json_field_integer(json, "column", place.column);
    json_field_integer(json, "end_line", place.end_line);
    json_field_integer(json, "end_column", place.end_column);
}

/* A part that says nothing is null, however it was left out. */
static void write_part(Json *json, const char *key, const char *text)
{
    json_field_text(json, key, text && *text ? text : NULL);
}

/* "a, b" as a list. */
static void write_also(Json *json, const char *also)
{
    json_key(json, "also");
    json_array(json);
    while (also && *also) {
        size_t length = strcspn(also, ",");
        json_slice(json, (Slice){also, length});
        also += length + strspn(also + length, ", ");
    }
    json_end_array(json);
}

static void write_places(Json *json, const Note *note)
{
    json_key(json, "places");
    json_array(json);
    for (unsigned i = 1; i < note->places; i++) {
        if (!note->place[i].span.text) continue;
        json_object(json);
        json_field_text(json, "label", note->place[i].label);
        write_span(json, note->place[i].span);
        json_key(json, "built_in");
        json_bool(json, note->place[i].span.text->built_in);
        json_end_object(json);
    }
    json_end_array(json);
}

static void write_finding(Json *json, const Note *note)
{
    json_object(json);
    json_field_text(json, "severity", severity_name[note->severity]);
    json_field_text(json, "name", note->name);
    write_part(json, "subject", note->subject);
    write_part(json, "field", note->field);
    write_part(json, "value", note->value);
    json_field_text(json, "message", note->message);
    write_part(json, "found", note->found);
    write_part(json, "allowed", note->allowed);
    write_part(json, "because", note->because);
    write_part(json, "instead", note->instead);
    write_part(json, "cite", note->cite);
    write_also(json, note->also);
    write_span(json, note->place[0].span);
    write_places(json, note);
    json_end_object(json);
}

static void write_summary(Json *json, const Report *report)
{
    const Summary *summary = report->summary;
    json_key(json, "summary");
    json_object(json);
    json_field_integer(json, "files", (int64_t)summary->files);
    json_field_integer(json, "protocols", (int64_t)summary->protocols);
    json_field_integer(json, "batches", (int64_t)summary->batches);
    json_field_integer(json, "rules", (int64_t)summary->rules);
    json_field_integer(json, "no_subject", (int64_t)summary->no_subject);
    json_field_integer(json, "checks", (int64_t)summary_checks(summary));
    json_field_integer(json, "held", (int64_t)summary->held);
    json_field_integer(json, "broken", (int64_t)summary->broken);
    json_field_integer(json, "undecided", (int64_t)summary->undecided);
    json_field_integer(json, "refused", (int64_t)summary->refused);
    json_field_integer(json, "accepted", (int64_t)summary->accepted);
    json_field_integer(json, "switched_off", (int64_t)summary->judged_off);
    json_field_integer(json, "in_baseline", (int64_t)summary->known);
    json_field_integer(json, "errors", (int64_t)notes_count(report->notes, SEVERITY_ERROR));
    json_field_integer(json, "warnings", (int64_t)notes_count(report->notes, SEVERITY_WARNING));
    json_field_integer(json, "notes", (int64_t)notes_count(report->notes, SEVERITY_NOTE));
    json_end_object(json);
}

void report_write_json(Buffer *out, const Report *report)
{
    Json json;
    size_t count;
    Note *const *notes = notes_sorted(report->notes, &count);
    json_start(&json, out, true);
    json_object(&json);
    json_field_integer(&json, "version", 1);
    json_field_text(&json, "tool", "heelcut");
    json_field_text(&json, "command", report->command);
    json_field_integer(&json, "status", report->status);
    json_key(&json, "findings");
    json_array(&json);
    for (size_t i = 0; i < count; i++) write_finding(&json, notes[i]);
    json_end_array(&json);
    json_field_integer(&json, "dropped", (int64_t)notes_dropped(report->notes));
    write_summary(&json, report);
    json_end_object(&json);
    buffer_char(out, '\n');
}
