/* table.c: the computations that there are, in the order of the index. */
#include "endpoints/endpoint.h"
#include "endpoints/rows.h"

const struct endpoint endpoints[] = {
    {
        .path = "/v1/resolve",
        .kind = "resolve",
        .schema = "resolve.request.json",
        .summary = "One force into components: x, y (, z); along two (three) oblique axes; onto a "
                   "line.",
        .run = run_resolve,
    },
    {
        .path = "/v1/resultant",
        .kind = "resultant",
        .schema = "resultant.request.json",
        .summary = "Forces, couples and distributed loads replaced by their resultant, or by a "
                   "force and a couple at a point.",
        .run = run_resultant,
    },
    {
        .path = "/v1/equilibrium",
        .kind = "equilibrium",
        .schema = "equilibrium.request.json",
        .summary = "Unknown forces and support reactions of a particle, a rigid body, or bodies "
                   "joined by pins.",
        .run = run_equilibrium,
    },
    {
        .path = "/v1/truss-joint",
        .kind = "truss-joint",
        .schema = "truss-joint.request.json",
        .summary = "The unknown member forces at one joint of a truss.",
        .run = run_truss_joint,
    },
    {
        .path = "/v1/truss",
        .kind = "truss",
        .schema = "truss.request.json",
        .summary =
            "A whole pin-jointed truss, plane or space: reactions, every member force, joint "
            "by joint; or by a section.",
        .run = run_truss,
    },
    {
        .path = "/v1/check",
        .kind = "check",
        .schema = "check.request.json",
        .summary = "Marks an answer, or many, to any of the above and names the mistake.",
        .run = run_check,
    },
    {0},
};
