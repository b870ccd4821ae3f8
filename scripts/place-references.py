#!/usr/bin/env python3
"""Makes tests/references/place.json: what OpenCV and SciPy say of some clicks.

    python3 scripts/place-references.py > tests/references/place.json

Needs numpy, scipy and opencv (made with numpy 2.4, scipy 1.17, opencv 5.0). The clicks are rounded projections
with noise from a fixed seed and are written into the file, so the values there can be recomputed from it alone:

- homography: cv2.findHomography(field, image, 0) where there is no lens, and for all of them the least sum of squared
  pixels by scipy.optimize.least_squares (method "lm"); covariance by numerical derivatives;
- distances to lines, their standard errors and probabilities by scipy.stats.norm;
- pose: cv2.solvePnP (iterative) with a known focal length, scipy's least_squares with a free one;
- triangulation: cv2.triangulatePoints, then least_squares; covariance by numerical derivatives.
"""

import json

import cv2
import numpy as np
from scipy.optimize import least_squares
from scipy.stats import norm

rng = np.random.default_rng(20260401)


def look_at(position, target):
    forward = np.subtract(target, position) / np.linalg.norm(np.subtract(target, position))
    right = np.cross(forward, [0, 0, 1.0])
    right /= np.linalg.norm(right)
    return np.array([right, np.cross(forward, right), forward])


def bend(ideal, lens):
    s = (ideal**2).sum(axis=-1, keepdims=True)
    return np.array(lens["center"]) + lens["focal_px"] * (1 + s * (lens["k1"] + s * lens["k2"])) * ideal


def project(camera, places):
    seen = (np.atleast_2d(places) - camera["position"]) @ look_at(camera["position"], camera["target"]).T
    return bend(seen[:, :2] / seen[:, 2:], camera["lens"])


def slope(function, at, step=1e-6):
    at = np.asarray(at, float)
    size = step * np.maximum(1.0, np.abs(at))
    return np.stack([(function(at + d) - function(at - d)) / (2 * d[i]) for i, d in enumerate(np.diag(size))], axis=-1)


def fit(field, image, lens):
    """Field to direction, 8 entries, last 1, in coordinates about the middle; and how to use it."""
    middle, size = field.mean(axis=0), field.std()

    def shown(h, places):
        near = (np.atleast_2d(places) - middle) / size
        mapped = np.c_[near, np.ones(len(near))] @ np.append(h, 1.0).reshape(3, 3).T
        return bend(mapped[:, :2] / mapped[:, 2:], lens)

    k = np.array([[lens["focal_px"], 0, lens["center"][0]], [0, lens["focal_px"], lens["center"][1]], [0, 0, 1.0]])
    ideal = cv2.undistortPoints(
        image.reshape(-1, 1, 2), k, np.array([lens["k1"], lens["k2"], 0, 0]), criteria=(3, 200, 1e-15)
    ).reshape(-1, 2)
    start, _ = cv2.findHomography((field - middle) / size, ideal, 0)
    best = least_squares(
        lambda h: (shown(h, field) - image).ravel(), (start / start[2, 2]).ravel()[:8],
        method="lm", x_scale="jac", xtol=1e-15, ftol=1e-15, gtol=1e-15,
    )
    return best.x, shown, middle, size, k


def ground(h, shown, pixel, near):
    best = least_squares(lambda x: (shown(h, x) - pixel).ravel(), near, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    return best.x


def measure_case(name, camera, field, straight, points, lines, sigma, point_sigma):
    lens = dict(focal_px=1.0, center=[0.0, 0.0], k1=0.0, k2=0.0) if straight else camera["lens"]
    field = np.array(field, float)
    raised = np.c_[field, np.zeros(len(field))]
    image = np.round(project(camera, raised) + rng.normal(0, sigma, field.shape), 1)
    h, shown, middle, size, k = fit(field, image, lens)
    residual = shown(h, field) - image
    jacobian = slope(lambda h: (shown(h, field) - image).ravel(), h)
    of_h = sigma**2 * np.linalg.inv(jacobian.T @ jacobian)
    near = np.array([[1 / size, 0, -middle[0] / size], [0, 1 / size, -middle[1] / size], [0, 0, 1]])
    back = np.linalg.inv(k @ np.append(h, 1).reshape(3, 3) @ near)
    out = []
    for point, place in points:
        pixel = np.round(project(camera, [*place, 0.0])[0] + rng.normal(0, point_sigma, 2), 1)
        at = ground(h, shown, pixel, place)
        inverse = np.linalg.inv(slope(lambda x: shown(h, x)[0], at))
        by_h = slope(lambda h: shown(h, at)[0], h)
        covariance = inverse @ (by_h @ of_h @ by_h.T + point_sigma**2 * np.eye(2)) @ inverse.T
        distances = []
        for line in lines:
            (x0, y0), (x1, y1) = line["through"]
            square = np.array([y0 - y1, x1 - x0]) / np.hypot(x1 - x0, y1 - y0)
            square *= np.sign(square @ (np.array(line["past"]) - [x0, y0]))
            yd, sd = square @ (at - [x0, y0]), np.sqrt(square @ covariance @ square)
            distances.append(dict(distance_yd=yd, sigma_yd=sd, past_probability=norm.cdf(yd / sd)))
        out.append(dict(name=point, image=pixel.tolist(), field=at.tolist(), covariance=covariance.tolist(), lines=distances))
    case = dict(
        name=name, sigma_px=sigma, point_sigma_px=point_sigma, lines=lines,
        landmarks=[dict(image=i, field=f) for i, f in zip(image.tolist(), field.tolist())],
        homography=(back / back[2, 2]).tolist(), points=out,
        rms_px=float(np.sqrt((residual**2).sum(axis=1).mean())),
        worst_px=float(np.sqrt((residual**2).sum(axis=1).max())),
    )
    if not straight:
        case["lens"] = lens
    if straight:
        forth, _ = cv2.findHomography(field, image, 0)
        back = np.linalg.inv(forth)
        case["opencv_homography"] = (back / back[2, 2]).tolist()
    return case


def lens(focal, k1=0.0, k2=0.0):
    return dict(focal_px=focal, center=[639.5, 359.5], k1=k1, k2=k2)


near_side = dict(position=[12.5, -14.0, 9.0], target=[12.5, 11.0, 0.0], lens=lens(1000.0))
high_end = dict(position=[-16.0, 13.5, 11.0], target=[20.0, 13.5, 0.0], lens=lens(1250.0, -0.18, 0.04))
far_corner = dict(position=[58.0, 34.0, 5.0], target=[30.0, 12.0, 0.0], lens=lens(1300.0, -0.05))
alignment = dict(name="alignment line", through=[[20, 0], [20, 27]], past=[50, 14])
side = dict(name="south wall", through=[[0, 0], [50, 0]], past=[25, -5])
grid = [[x, y] for x in (5, 15, 25) for y in (0, 27)] + [[0, 0], [0, 27]]


def measure_cases():
    yield measure_case("near side, eight landmarks", near_side, grid, True,
                       [("left toe", (19.9, 12.0)), ("heel", (8.0, 1.0))], [alignment, side], 1.0, 1.0)
    yield measure_case("near side, four landmarks", near_side, [[0, 0], [25, 0], [25, 27], [0, 27]], True,
                       [("toe", (20.1, 20.0))], [alignment], 1.0, 0.5)
    yield measure_case("high end, with its lens", high_end, grid, False,
                       [("toe", (20.05, 13.0)), ("hand", (3.0, 2.0))], [alignment, side], 0.7, 1.0)
    yield measure_case("far corner, with its lens", far_corner,
                       [[50, 0], [50, 27], [40, 0], [40, 27], [30, 0], [30, 27], [20, 0]], False,
                       [("toe", (20.3, 9.0))], [alignment], 1.0, 1.0)


def pose_case(name, camera, places, free_focal, sigma):
    places = np.array(places, float)
    image = np.round(project(camera, places) + rng.normal(0, sigma, (len(places), 2)), 1)
    seen = camera["lens"]
    k = np.array([[seen["focal_px"], 0, seen["center"][0]], [0, seen["focal_px"], seen["center"][1]], [0, 0, 1.0]])
    bent = np.array([seen["k1"], seen["k2"], 0, 0])
    turn = look_at(camera["position"], camera["target"])
    start = np.r_[cv2.Rodrigues(turn)[0].ravel(), -turn @ camera["position"], seen["focal_px"]]

    def residual(p):
        p = p if free_focal else np.append(p, seen["focal_px"])
        inner = k.copy()
        inner[0, 0] = inner[1, 1] = p[6]
        return (cv2.projectPoints(places, p[:3], p[3:6], inner, bent)[0].reshape(-1, 2) - image).ravel()

    best = least_squares(residual, start if free_focal else start[:6], x_scale="jac", method="lm",
                         xtol=1e-15, ftol=1e-15, gtol=1e-15).x
    center = lambda p: (-cv2.Rodrigues(p[:3])[0].T @ p[3:6])
    jacobian = slope(residual, best)
    of_center = slope(center, best)
    covariance = of_center @ (sigma**2 * np.linalg.inv(jacobian.T @ jacobian)) @ of_center.T
    case = dict(name=name, sigma_px=sigma, free_focal=free_focal, lens=seen,
                landmarks=[dict(image=i, place=p) for i, p in zip(image.tolist(), places.tolist())],
                position=center(best).tolist(), position_covariance=covariance.tolist(),
                focal_px=float(best[6]) if free_focal else seen["focal_px"])
    if not free_focal:
        _, r, t = cv2.solvePnP(places, image, k, bent, start[:3].copy(), start[3:6].copy(), True, cv2.SOLVEPNP_ITERATIVE)
        case["opencv_position"] = (-cv2.Rodrigues(r)[0].T @ t).ravel().tolist()
    return case


posts = [[-7, 13.5 + 5 / 3, 4], [-7, 13.5 - 5 / 3, 4], [-7, 0, 4 / 3], [-7, 27, 4 / 3]]
flat = [[x, y, 0] for x, y in grid]


def pose_cases():
    wide = dict(near_side, target=[8.0, 13.0, 0.0], lens=lens(700.0, -0.1, 0.01))
    yield pose_case("known focal length, ground and posts", wide, flat + posts, False, 1.0)
    yield pose_case("known focal length, ground alone", wide, flat, False, 1.0)
    yield pose_case("free focal length, ground and posts", wide, flat + posts, True, 1.0)
    yield pose_case("free focal length, ground alone", far_corner,
                    [[50, 0, 0], [50, 27, 0], [40, 0, 0], [40, 27, 0], [30, 0, 0], [30, 27, 0], [20, 0, 0]], True, 0.5)


def triangulation_case(name, cameras, place, sigma):
    pixels = [np.round(project(c, place)[0] + rng.normal(0, sigma, 2), 1) for c in cameras]
    straight = []
    for camera, pixel in zip(cameras, pixels):
        seen = camera["lens"]
        k = np.array([[seen["focal_px"], 0, seen["center"][0]], [0, seen["focal_px"], seen["center"][1]], [0, 0, 1.0]])
        straight.append(cv2.undistortPoints(pixel.reshape(1, 1, 2), k, np.array([seen["k1"], seen["k2"], 0, 0]),
                                                criteria=(3, 200, 1e-15)).reshape(2, 1))
    matrices = []
    for camera in cameras:
        turn = look_at(camera["position"], camera["target"])
        matrices.append(np.c_[turn, -turn @ camera["position"]])
    linear = cv2.triangulatePoints(matrices[0], matrices[1], straight[0], straight[1]).ravel()
    residual = lambda x: np.concatenate([(project(c, x)[0] - p) / sigma for c, p in zip(cameras, pixels)])
    best = least_squares(residual, linear[:3] / linear[3], xtol=1e-15, ftol=1e-15, gtol=1e-15).x
    jacobian = slope(residual, best)
    return dict(name=name, sigma_px=sigma, cameras=cameras, pixels=[p.tolist() for p in pixels],
                opencv_linear_of_the_first_two=(linear[:3] / linear[3]).tolist(), place=best.tolist(),
                covariance=np.linalg.inv(jacobian.T @ jacobian).tolist(), chi_square=float((residual(best) ** 2).sum()))


def triangulation_cases():
    yield triangulation_case("near side and high end", [near_side, high_end], [1.2, 11.0, 1.4], 1.0)
    yield triangulation_case("three cameras", [near_side, high_end, far_corner], [12.0, 20.0, 0.8], 1.0)
    yield triangulation_case("high end and far corner, facing", [high_end, far_corner], [25.0, 18.0, 2.5], 1.0)


print(json.dumps(dict(
    made_by="scripts/place-references.py", numpy=np.__version__, opencv=cv2.__version__,
    measure=list(measure_cases()), pose=list(pose_cases()), triangulation=list(triangulation_cases()),
), indent=1))
