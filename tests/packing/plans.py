"""The best servings for whole races, by a general mixed-integer solver.

Reads packing_plans_{stretches,offers,limits}.csv in tests/reference and writes packing_plans_best.csv
beside them. Run by hand: `pip install scipy` (1.17.1 was used), then `python tests/packing/plans.py`.
The costs are those of src/packing/choose.rs, each convex piece written as a variable of its own.
"""
import csv
import os
import sys

import numpy as np
import scipy
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

HERE = os.path.join(os.path.dirname(__file__), "..", "reference")
SECONDS = float(sys.argv[1]) if len(sys.argv) > 1 else 60.0


def table(name):
    with open(os.path.join(HERE, f"packing_plans_{name}.csv")) as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


class Program:
    """A mixed-integer program, built column by column."""

    def __init__(self):
        self.cost, self.low, self.high, self.whole = [], [], [], []
        self.rows, self.left, self.right = [], [], []
        self.constant = 0.0

    def column(self, cost, low=0.0, high=np.inf, whole=False):
        self.cost.append(cost)
        self.low.append(low)
        self.high.append(high)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def row(self, terms, left=-np.inf, right=np.inf):
        self.rows.append(terms)
        self.left.append(left)
        self.right.append(right)

    def solve(self, seconds):
        where = [(r, c, v) for r, terms in enumerate(self.rows) for c, v in terms]
        r, c, v = (np.array(x) for x in zip(*where))
        matrix = coo_array((v, (r, c)), shape=(len(self.rows), len(self.cost))).tocsr()
        return milp(
            self.cost,
            constraints=LinearConstraint(matrix, self.left, self.right),
            bounds=Bounds(self.low, self.high),
            integrality=self.whole,
            options={"time_limit": seconds, "mip_rel_gap": 1e-6},
        )


def best(stretches, offers, limits):
    program = Program()
    servings = []
    for offer in offers:
        least, most = int(offer["least"]), int(offer["most"])
        servings.append(program.column(float(offer["cost"]), least, most, True))
    column = dict(enumerate(servings))
    # again n (n - 1) / 2: the second serving costs `again` more, the third twice as much
    for at, offer in enumerate(offers):
        again, most = float(offer["again"]), int(offer["most"])
        if again > 0.0 and most > 1:
            steps = [program.column(again * k, 0.0, 1.0) for k in range(1, most)]
            program.row([(column[at], 1.0)] + [(s, -1.0) for s in steps], right=1.0)
    for index, stretch in enumerate(stretches):
        here = [at for at, offer in enumerate(offers) if int(offer["stretch"]) == index]
        need, sodium = float(stretch["carbs_g"]), float(stretch["sodium_mg"])
        band = max(0.10 * need, 8.0)
        far = [max(share * need, 8.0) for share in (0.25, 0.5, 0.75)]
        above = [program.column(0.1), program.column(3.0)]
        below = [program.column(0.1), program.column(3.0)]
        carbs = [(column[at], float(offers[at]["carbs_g"])) for at in here]
        # carbs + below - above = need; what is outside of the bands is the rest of each
        program.row(carbs + [(below[0], 1.0), (above[0], -1.0)], need, need)
        program.row([(above[0], 1.0), (above[1], -1.0)], right=band)
        program.row([(below[0], 1.0), (below[1], -1.0)], right=band)
        for beyond in far:
            program.row([(below[0], 1.0), (program.column(1.5), -1.0)], right=beyond)
        if sodium > 0.0:
            missing = program.column(0.01)
            salt = [(column[at], float(offers[at]["sodium_mg"])) for at in here]
            program.row(salt + [(missing, 1.0)], left=0.8 * sodium)
        table_things = [(column[at], -1.0) for at in here if offers[at]["way"] == "table"]
        if table_things:
            first, second = program.column(-2.0, 0.0, 1.0), program.column(-1.0, 0.0, 1.0)
            program.row([(first, 1.0), (second, 1.0)] + table_things, right=0.0)
        carried = [at for at in here if offers[at]["way"] != "table" and int(offers[at]["most"]) > 0]
        if len(carried) > int(stretch["kinds"]):
            chosen = [program.column(0.0, 0.0, 1.0, True) for _ in carried]
            for at, kind in zip(carried, chosen):
                program.row([(column[at], 1.0), (kind, -float(offers[at]["most"]))], right=0.0)
            program.row([(kind, 1.0) for kind in chosen], right=float(stretch["kinds"]))
    for food in sorted({offer["food"] for offer in offers}):
        of_it = [(column[at], 1.0) for at, o in enumerate(offers) if o["food"] == food]
        for few, each in ((4, 0.3), (8, 0.5)):
            if of_it:
                beyond = program.column(each)
                program.row(of_it + [(beyond, -1.0)], right=float(few))
    for limit in limits:
        pairs = [pair.split(":") for pair in limit["each"].split(" ")]
        program.row([(column[int(at)], float(one)) for at, one in pairs], right=float(limit["left"]))
    return program.solve(SECONDS), servings


def main():
    stretches, offers, limits = table("stretches"), table("offers"), table("limits")
    with open(os.path.join(HERE, "packing_plans_best.csv"), "w") as file:
        file.write(
            f"# source: scipy {scipy.__version__}, scipy.optimize.milp (the HiGHS mixed-integer solver), at most "
            f"{SECONDS:.0f} seconds a\n# plan: the best cost found, no cost below the bound, and the servings by offer.\n"
        )
        file.write("plan,best,bound,servings\n")
        for plan in dict.fromkeys(row["plan"] for row in stretches):
            of = [[row for row in rows if row["plan"] == plan] for rows in (stretches, offers, limits)]
            result, servings = best(*of)
            counts = " ".join(str(round(result.x[at])) for at in servings)
            file.write(f"{plan},{result.fun:.5f},{result.mip_dual_bound:.5f},{counts}\n")
            file.flush()
            print(plan, result.fun, result.mip_dual_bound, flush=True)


main()
