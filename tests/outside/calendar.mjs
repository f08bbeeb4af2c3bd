// Reads a calendar file with ical.js and prints each event on a line of JSON.
//
//   node tests/outside/calendar.mjs FILE
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const require = createRequire(process.env.NODE_PATH + "/");
const module = await import(pathToFileURL(require.resolve("ical.js")));
const ICAL = module.default ?? module;
const calendar = new ICAL.Component(ICAL.parse(readFileSync(process.argv[2], "utf8")));

for (const component of calendar.getAllSubcomponents("vevent")) {
  const event = new ICAL.Event(component);
  console.log(JSON.stringify({
    uid: event.uid,
    start: event.startDate.toString(),
    end: event.endDate.toString(),
    whole_day: event.startDate.isDate,
    summary: event.summary,
    description: event.description,
    sequence: event.sequence,
    status: component.getFirstPropertyValue("status"),
  }));
}
