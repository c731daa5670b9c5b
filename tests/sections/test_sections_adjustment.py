import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.sparse import csr_array
from scipy.stats import t

from cradle.sections.adjustment import adjusted, slopes_of, student_t_cost, with_rows

# NIST Statistical Reference Datasets, nonlinear regression, Misra1a (lower difficulty): certified values
X = np.array(
    [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0]
)
Y = np.array(
    [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78]
)


def misra(b):
    falls = np.exp(-b[1] * X)
    return Y - b[0] * (1 - falls), np.column_stack([1 - falls, b[0] * X * falls])


@pytest.mark.parametrize("start", [(500.0, 0.0001), (250.0, 0.0005)])
def test_misra1a_has_its_certified_values(start):
    found = adjusted(misra, np.array(start))
    assert found.values == pytest.approx([238.94212918, 5.5015643181e-4], rel=1e-6)
    sd = np.sqrt((found.residuals**2).sum() / 12)
    assert sd == pytest.approx(0.10187876330, rel=1e-6)
    assert sd * np.sqrt(np.diagonal(found.covariance())) == pytest.approx(
        [2.7070075241, 7.2668688436e-6], rel=1e-4
    )


def test_the_search_does_not_end_at_a_step_downwards():
    root = adjusted(lambda x: (2.0 - x**2, np.array([[2 * x[0]]])), np.array([10.0]))
    assert root.values == pytest.approx([np.sqrt(2.0)], abs=1e-9)


def test_heavy_tails_agree_with_another_optimiser():
    rng = np.random.default_rng(2)
    x = np.linspace(0, 1, 30)
    y = 1.0 + 2.0 * x + rng.normal(0, 0.1, 30)
    y[7] += 3.0

    def line(b):
        return (y - b[0] - b[1] * x) / 0.1, np.column_stack([np.ones(30), x]) / 0.1

    v = 4.0
    reference = least_squares(
        lambda b: line(b)[0],
        np.zeros(2),
        loss=lambda z: np.array([(v + 1) * np.log1p(z / v), (v + 1) / (v + z), -(v + 1) / (v + z) ** 2]),
        xtol=1e-12,
        ftol=1e-12,
        gtol=1e-12,
    )
    found = adjusted(line, np.zeros(2), freedom=np.full(30, v))
    assert found.values == pytest.approx(reference.x, abs=1e-5)
    assert found.values == pytest.approx([1, 2], abs=0.15)
    assert found.weights[7] < 0.02


@pytest.mark.parametrize("freedom", [2.0, 4.0, 5.0])
def test_the_cost_is_that_of_students_t(freedom):
    # reference: scipy.stats.t
    r = np.array([-3.0, 0.5, 0.0, 20.0])
    density = t.logpdf(r, freedom)
    assert student_t_cost(r, freedom=freedom) == pytest.approx(density[2] - density)


def test_gain_is_what_a_changed_reading_does():
    rng = np.random.default_rng(5)
    slopes, readings = rng.normal(size=(9, 3)), rng.normal(size=9)
    found = adjusted(lambda b: (readings - slopes @ b, slopes), np.zeros(3))
    changed = readings + np.eye(9)[4]
    other = adjusted(lambda b: (changed - slopes @ b, slopes), np.zeros(3))
    assert other.values - found.values == pytest.approx(found.gain()[:, 4], abs=1e-7)
    assert found.gain() @ found.gain().T == pytest.approx(found.covariance())


def test_a_value_without_any_reading_is_refused():
    with pytest.raises(np.linalg.LinAlgError):
        adjusted(lambda b: (1 - b[:1], np.array([[1.0, 0.0]])), np.zeros(2))


def test_normal_readings_weigh_one():
    sure = np.array([[1e6], [1.0]])
    found = adjusted(
        lambda b: (np.array([0.0, 5.0]) - sure @ b, sure), np.zeros(1), freedom=np.array([np.inf, 4.0])
    )
    assert found.weights == pytest.approx([1, 5 / 29])
    assert found.loss == pytest.approx(5 * np.log(29 / 4))


def test_slopes_without_their_zeros_give_what_all_of_them_give():
    rng = np.random.default_rng(7)
    rows, columns = np.repeat(np.arange(60), 3), rng.integers(0, 20, 180)
    values, readings = rng.normal(size=180), rng.normal(size=60)
    dense = slopes_of(rows, columns, values, shape=(60, 20))
    left = slopes_of(rows, columns, values, shape=(60, 241))
    assert left.nnz < 200
    assert left.toarray()[:, :20] == pytest.approx(dense)
    plain = adjusted(lambda b: (readings - dense @ b, dense), np.zeros(20), freedom=np.full(60, 4.0))
    kept = csr_array(dense)
    thin = adjusted(lambda b: (readings - kept @ b, kept), np.zeros(20), freedom=np.full(60, 4.0))
    assert thin.values == pytest.approx(plain.values, abs=1e-9)
    assert thin.covariance() == pytest.approx(plain.covariance(), abs=1e-9)
    assert thin.gain() == pytest.approx(plain.gain(), abs=1e-9)
    held = with_rows(kept, np.eye(20)) @ np.ones(20)
    assert held == pytest.approx(with_rows(dense, np.eye(20)) @ np.ones(20))


def test_a_value_without_any_reading_is_refused_among_many_as_well():
    slopes = csr_array(np.diag([1.0, 2.0, 0.0]))
    with pytest.raises(np.linalg.LinAlgError):
        adjusted(lambda b: (1 - slopes @ b, slopes), np.zeros(3))
