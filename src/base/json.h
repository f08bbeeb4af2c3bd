/* Writing JSON (RFC 8259): commas and quoting are kept here, meaning is the caller's. */
#ifndef BASE_JSON_H
#define BASE_JSON_H

#include "base/buffer.h"

enum { JSON_DEPTH = 32 };

typedef struct Json {
    Buffer *out;
    bool pretty; /* two blanks a level and a line an entry; else one line */
    unsigned depth;
    bool filled[JSON_DEPTH]; /* something was written at this level */
    bool after_key;
} Json;

void json_start(Json *json, Buffer *out, bool pretty);
void json_object(Json *json); /* { */
void json_array(Json *json);  /* [ */
void json_end_object(Json *json);
void json_end_array(Json *json);
void json_key(Json *json, const char *key);
void json_slice(Json *json, Slice text);
void json_text(Json *json, const char *text); /* NULL writes null */
void json_integer(Json *json, int64_t value);
void json_number(Json *json, Slice digits); /* as it stands: the caller wrote a number of JSON */
void json_bool(Json *json, bool value);
void json_null(Json *json);
void json_day(Json *json, Day day); /* ISO text, or null for DAY_NONE */
/* key and value at once */
void json_field_text(Json *json, const char *key, const char *text);
void json_field_slice(Json *json, const char *key, Slice text);
void json_field_integer(Json *json, const char *key, int64_t value);

#endif
