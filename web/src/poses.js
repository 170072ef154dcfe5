// The solver's poses, looked up. Nothing here works out where anything is: a pose is read, and a point carried along.

export function poseAt(frame, rack, travel) {
  const [n, m] = frame.shape;
  return frame.poses[(n === 1 ? 0 : rack) * m + (m === 1 ? 0 : travel)];
}

export function carried(pose, [x, y, z]) {
  const [qx, qy, qz, qw, tx, ty, tz] = pose;
  const ix = qw * x + qy * z - qz * y;
  const iy = qw * y + qz * x - qx * z;
  const iz = qw * z + qx * y - qy * x;
  const iw = -qx * x - qy * y - qz * z;
  return [
    ix * qw - iw * qx - iy * qz + iz * qy + tx,
    iy * qw - iw * qy - iz * qx + ix * qz + ty,
    iz * qw - iw * qz - ix * qy + iy * qx + tz,
  ];
}

// Each condition of the car keeps to its own locks: beyond them it stands at its stop.
export function within(condition, rack) {
  return Math.min(Math.max(rack, condition.lock.left), condition.lock.right);
}

export function at(rows, rack, travel) {
  return rows[rack][travel];
}
