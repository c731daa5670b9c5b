// From where the 3-D view is looked at: the turned box, and the places of points on the screen.
const FAR = 2.6,
  FILLED = 0.94,
  START = {turn: 28, rise: 24};

const sines = (degrees) => [Math.sin((degrees * Math.PI) / 180), Math.cos((degrees * Math.PI) / 180)];

function turned([x, y, z], {turn, rise}) {
  const [st, ct] = sines(turn),
    [se, ce] = sines(rise),
    back = st * x + ct * y;
  return [ct * x - st * y, se * back + ce * z, -ce * back + se * z];
}

// The camera for a box of [low, high] on a screen of a width and a height: matrices, and where a point is shown.
export function camera(box, look, width, height) {
  const middle = box[0].map((v, k) => (v + box[1][k]) / 2),
    size = Math.max(...box[1].map((v, k) => v - box[0][k]), 1e-6),
    away = size * FAR,
    focus = look.zoom * filling(box, middle, away, width / height);
  const near = size * 0.2,
    far = size * 6,
    sum = far + near,
    [st, ct] = sines(look.turn),
    [se, ce] = sines(look.rise);
  return {
    middle,
    size,
    turn: [ct, se * st, -st * ce, -st, se * ct, -ct * ce, 0, ce, se],
    project: [
      ...[(focus * height) / width, 0, 0, 0],
      ...[0, focus, 0, 0],
      ...[0, 0, -sum / (far - near), -1],
      ...[0, 0, (away * sum) / (far - near) - (2 * far * near) / (far - near), away],
    ],
    spot(point) {
      const q = turned(
          point.map((v, k) => v - middle[k]),
          look,
        ),
        depth = away - q[2];
      return [
        width / 2 + ((focus * q[0]) / depth) * (height / 2),
        height / 2 - ((focus * q[1]) / depth) * (height / 2),
      ];
    },
  };
}

// How much the box must be enlarged to fill the screen as it is seen at the start.
function filling(box, middle, away, aspect) {
  let most = 1e-9;
  for (let corner = 0; corner < 8; corner++) {
    const point = middle.map((v, k) => box[(corner >> k) & 1][k] - v),
      [x, y, z] = turned(point, START);
    most = Math.max(most, Math.abs(x) / (away - z) / aspect, Math.abs(y) / (away - z));
  }
  return FILLED / most;
}

export {START};
