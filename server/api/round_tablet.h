/*
 * GET /api/rounds/{uuid}/tablet: all that the pages of a round need where there is no server, in
 * one answer and in one state of the register. A page keeps it whole, under the round's id, and
 * says so only when it has the last byte; a newer one replaces it whole. It is one JSON object:
 *
 *   today, made_at     the register's day and the server's instant: the tablet's clock is held
 *                      against made_at, and the difference is said
 *   round              the row of /api/rounds (state, crew, shift_day, begins, ends, minutes, wish,
 *                      withdrawn_why ...); shift_day is the day of all that is recorded in it
 *   bond_rows          the rows of /api/round-bonds, in the order of walking: place, kind, the ends
 *                      in words (end_a_words, end_b_words), minutes, and what became of each so far
 *                      (stands: a second tablet goes on from there)
 *   steps              what was said of the round, newest first
 *   persons            its people: number (null: not signed up), name
 *   competences        of these people, each with the day on which it ends (null: it does not)
 *   kits, kit_checks   every kit with the day until which its service holds; the checks of the last
 *                      30 days
 *   instruments        rows of /api/instruments; their calibrations are in `meters`
 *   meters             the member `instruments` of GET /api/bonds/{id}/tablet, once for all bonds:
 *                      put it into a bond's `known` before rules.wasm is asked
 *   bridges            temporary bridges still on, on every line that the round touches
 *   rulebook           what rules.adopt (static/js/logic/rules.js) takes
 *   bonds              one object for each of bond_rows, in the same order:
 *     bond_id
 *     known            GET /api/bonds/{id}/tablet without its instruments: facts of the limit,
 *                      values at commissioning, last evidence, the ends' words
 *     rail             GET /api/bonds/{id}/rail: every spot within reach on the rail of each end,
 *                      of whatever bond, and what is not known there
 *     inspections, readings, failures
 *                      rows of those lists from three years back, newest first
 *     failures_open    rows of failures not made good, however old
 *     attachments, bridges
 *                      all of the bond's
 *
 * A member of rows that has 1,000 was cut there, as far as is known: beside it stands the flag
 * NAME_cut ("kits_cut": true), and the tablet says so.
 *
 * What is recorded on the tablet is sent by PUT under ids of its own, each naming the round:
 * /api/inspections (also what was not reached: "outcome": "not_reached", why in "note"),
 * /api/failures, /api/repairs, /api/attachments, /api/kit-checks, /api/bridges, /api/bridges-off,
 * /api/found-bonds, /api/withdrawals, and /api/round-steps for taken, begun (kit, instrument,
 * possession, isolation; `said`: why it begins although something is lacking) and done.
 */
#ifndef API_ROUND_TABLET_H
#define API_ROUND_TABLET_H

#include "http/request.h"

void round_tablet_get(const struct request *req, struct reply *out);

#endif
