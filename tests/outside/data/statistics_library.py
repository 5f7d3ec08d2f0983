"""Writes statistics_library.json: python3 -m venv v && v/bin/pip install scipy==1.17.1 && v/bin/python statistics_library.py"""
import json, random
import scipy
from scipy import stats

random.seed(7870)
def draw(count, centre, spread):
    return [f"{random.gauss(centre, spread):.4f}" for _ in range(count)]

# Yields of a process and reaction times, in the shapes textbooks use; the numbers are invented, drawn with the seed above.
groups = [
    (draw(12, 2.000, 0.010), draw(9, 2.012, 0.020)),
    (draw(2, 79.86, 0.01), draw(2, 79.90, 0.01)),
    (draw(30, -5, 3), draw(4, -5, 0.2)),
    (draw(200, 1000000, 0.1), draw(150, 1000000.01, 0.3)),
    (["1", "2", "3", "4"], ["4", "5", "6", "7"]),
    (["0.1", "0.1", "0.1"], ["0.1", "0.2", "0.3"]),
]
welch = []
for first, second in groups:
    one, two = [float(v) for v in first], [float(v) for v in second]
    result = stats.ttest_ind(two, one, equal_var=False)
    pooled = stats.ttest_ind(two, one, equal_var=True)
    welch.append({"first": first, "second": second, "t": repr(float(result.statistic)),
                  "freedom": repr(float(result.df)), "p": repr(float(result.pvalue)),
                  "pooled_freedom": repr(float(pooled.df))})
normal_cdf = [{"z": repr(z), "p": repr(float(stats.norm.cdf(z)))} for z in (-8.0, -5.0, -3.0, -1.96, -1.0, -0.1, 0.0, 0.3, 1.0, 2.0, 3.5, 6.0)]
normal_quantile = [{"p": repr(p), "z": repr(float(stats.norm.ppf(p)))} for p in (1e-9, 1e-4, 0.02275, 0.05, 0.25, 0.5, 0.9, 0.975, 0.995, 0.99999)]
student_quantile = [{"p": repr(p), "nu": repr(nu), "t": repr(float(stats.t.ppf(p, nu)))}
                    for nu in (1.0, 1.5, 2.0, 3.0, 4.7, 10.0, 16.65, 35.0, 100.0, 1000.0)
                    for p in (0.0001, 0.025, 0.3, 0.6, 0.84, 0.95, 0.97725, 0.995, 0.99995)]
student_two_sided_p = [{"t": repr(t), "nu": repr(nu), "p": repr(float(2 * stats.t.sf(abs(t), nu)))}
                       for nu in (1.0, 2.5, 8.0, 40.0) for t in (-6.0, -2.0, 0.0, 0.5, 2.7, 25.0)]
json.dump({"made_by": __doc__, "scipy": scipy.__version__, "welch": welch, "normal_cdf": normal_cdf,
           "normal_quantile": normal_quantile, "student_quantile": student_quantile,
           "student_two_sided_p": student_two_sided_p}, open("statistics_library.json", "w"), indent=1)
