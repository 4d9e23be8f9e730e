// A cage of netting in the open, and a room with a screen.

// Cover of netting with 45 mm meshes hung a little unevenly, at (s, z) metres on its plane.
float meshes(float s, float z, float pixel, uint salt) {
    vec2 hung = vec2(s, z) + 0.03 * vec2(fbm(vec2(s, z), 0.9, 3, pixel, salt), fbm(vec2(z, s), 0.7, 3, pixel, salt + 1u));
    vec2 turned = mat2(0.7071, 0.7071, -0.7071, 0.7071) * hung;
    float line = max(stripe(nearest(turned.x, 0.045), 0.0016, pixel), stripe(nearest(turned.y, 0.045), 0.0016, pixel));
    float even = 0.13;
    return mix(even, line, resolved(0.03, pixel));
}

vec4 net_wall(vec3 eye, vec3 ray, float grain, int axis, float place, float high, uint salt) {
    float closing = axis == 0 ? ray.x : ray.y;
    float away = (place - (axis == 0 ? eye.x : eye.y)) / closing;
    if (away < 0.3) return vec4(0.0);
    vec3 at = eye + away * ray;
    float s = axis == 0 ? at.y : at.x, pixel = grain * away / max(abs(closing), 0.15);
    if (at.z < 0.0 || at.z > high + 0.1) return vec4(0.0);
    float drape = fbm(vec2(s, at.z * 0.12), 0.55, 4, pixel, salt + 2u);
    float cover = step(at.z, high) * clamp(meshes(s, at.z, pixel, salt) * (1.0 + 0.6 * drape) + 0.10 + 0.10 * drape, 0.0, 0.8);
    vec3 string = paint(44, 50, 48) * (sky_light + 0.3 * sun_light) * (1.0 + 0.4 * drape);
    float upright = stripe(nearest(s - 1.1, 2.6), 0.030, pixel) * step(at.z, high);
    float bar = stripe(at.z - high, 0.030, pixel), pole = max(upright, bar);
    float shine = 0.6 + 0.4 * cos((upright > bar ? nearest(s - 1.1, 2.6) : at.z - high) / 0.03 * 1.4);
    vec3 steel = paint(128, 132, 134) * shine * (sky_light * 0.8 + sun_light * 0.3);
    return pole > 0.02 ? vec4(mix(string, steel, pole), max(pole, cover)) : vec4(string, cover);
}

vec3 net_bay(vec3 eye, vec3 ray, float grain) {
    vec3 seen = field(eye, ray, grain) * 0.9;
    if (ray.z < -0.0005) {
        float away = -eye.z / ray.z;
        vec2 at = eye.xy + away * ray.xy, pixel = vec2(away * grain, away * grain / -ray.z);
        vec2 off = abs(at - vec2(0.6, -0.4)) - vec2(3.3, 3.1);
        float floor_cover = clamp(-max(off.x, off.y) / pixel.y + 0.5, 0.0, 1.0);
        float path_cover = clamp(-(max(off.x, off.y) - 0.9) / pixel.y + 0.5, 0.0, 1.0);
        float fine = sqrt(pixel.x * pixel.y);
        vec3 path = paint(156, 152, 146) * (1.0 + 0.25 * fbm(at, 0.5, 6, fine, 101u));
        vec3 turf = paint(64, 96, 60) * (1.0 + 0.30 * fbm(at, 0.05, 3, fine, 102u) + 0.22 * fbm(at, 1.1, 4, fine, 103u));
        turf *= 1.0 - 0.25 * stripe(nearest(at.x - 0.9, 2.0), 0.008, pixel.y);
        seen = mix(seen, path * day_light(), path_cover);
        seen = mix(seen, on_ground(turf * day_light(), at, pixel, day_light()), floor_cover);
    }
    put(seen, net_wall(eye, ray, grain, 0, 3.9, 3.1, 110u));
    put(seen, net_wall(eye, ray, grain, 1, 2.7, 3.1, 120u));
    return seen;
}

vec3 plaster(vec2 at, float pixel, vec3 tint) {
    return tint * (1.0 + 0.05 * fbm(at, 1.3, 4, pixel, 131u) + 0.05 * fbm(at, 0.02, 2, pixel, 132u));
}

vec3 long_wall(vec2 at, float pixel) {
    vec3 wall = plaster(at, pixel, paint(186, 180, 170));
    float plank = floor(at.x / 0.14);
    vec3 wood = paint(128, 96, 66) * (0.85 + 0.3 * chance(ivec2(int(plank), 1), 133u));
    wood *= 1.0 + 0.35 * fbm(at * vec2(6.0, 0.5) + plank * 3.7, 0.25, 4, pixel * 3.0, 134u);
    wood *= 1.0 - 0.5 * stripe(nearest(at.x, 0.14), 0.004, pixel);
    wall = mix(wall, wood, clamp((0.95 - at.y) / pixel + 0.5, 0.0, 1.0));
    wall = mix(wall, paint(236, 232, 224), stripe(at.y - 0.99, 0.045, pixel));
    wall = mix(wall, paint(230, 228, 222), stripe(at.y - 0.05, 0.05, pixel));
    for (int i = 0; i < 3; i++) {
        vec2 off = at - vec2(-2.5 + 1.9 * float(i) + 0.3 * chance(ivec2(i, 0), 135u), 1.75);
        vec2 half_size = vec2(0.30 + 0.16 * chance(ivec2(i, 1), 136u), 0.26);
        float frame = stripe(off.x, half_size.x, pixel) * stripe(off.y, half_size.y, pixel);
        float print_cover = stripe(off.x, half_size.x - 0.035, pixel) * stripe(off.y, half_size.y - 0.035, pixel);
        vec3 print = mix(paint(70, 96, 60), paint(150, 178, 204), smoothstep(-0.08, 0.06, off.y + 0.05 * fbm(off, 0.2, 4, pixel, 137u)));
        wall = mix(mix(wall, paint(44, 36, 30), frame), print, print_cover);
    }
    return wall;
}

vec3 screen_wall(vec2 at, float pixel) {
    float fold = fbm(vec2(at.x, at.y * 0.08), 0.16, 3, pixel, 141u);
    vec3 curtain = paint(40, 42, 46) * (1.0 + 0.7 * fold);
    vec2 off = at - vec2(0.2, 1.50);
    float cover = stripe(off.x, 1.75, pixel) * stripe(off.y, 1.28, pixel);
    float ridge = 0.12 * fbm(vec2(at.x, 0.0), 0.7, 5, pixel, 142u) + 0.14;
    vec3 shown = mix(paint(96, 130, 84), paint(152, 184, 212), smoothstep(-0.02, 0.02, off.y - 0.04));
    shown = mix(shown, paint(58, 84, 56), smoothstep(0.01, -0.01, abs(off.y - 0.04 - ridge * 0.5) - ridge * 0.5));
    shown *= (1.0 - 0.16 * smoothstep(0.5, 1.7, length(off))) * (1.0 + 0.03 * fbm(at, 0.6, 4, pixel, 143u));
    return mix(curtain, shown * 1.25, cover);
}

vec3 room(vec3 eye, vec3 ray, float grain) {
    vec3 low = vec3(-5.2, -5.6, 0.0), high = vec3(3.4, 2.1, 3.05);
    vec3 exits = mix((low - eye) / ray, (high - eye) / ray, step(0.0, ray));
    float away = min(exits.x, min(exits.y, exits.z));
    vec3 at = eye + away * ray;
    float pixel = grain * away / max(0.12, away == exits.x ? abs(ray.x) : away == exits.y ? abs(ray.y) : abs(ray.z));
    vec3 seen;
    if (away == exits.z && ray.z < 0.0) {
        vec3 carpet = paint(92, 92, 96) * (1.0 + 0.22 * fbm(at.xy, 0.03, 3, pixel * 0.5, 151u) + 0.10 * fbm(at.xy, 0.8, 3, pixel, 152u));
        vec3 turf = paint(70, 104, 68) * (1.0 + 0.30 * fbm(at.xy, 0.04, 3, pixel * 0.5, 153u) + 0.12 * fbm(at.xy, 0.9, 3, pixel, 154u));
        vec2 off = abs(at.xy - vec2(0.7, 0.2)) - vec2(2.9, 1.75);
        seen = mix(carpet, turf, clamp(-max(off.x, off.y) / pixel + 0.5, 0.0, 1.0));
        if (matted) { vec4 m = mat_on_ground(at.xy, vec2(pixel)); seen = mix(seen, m.rgb, m.a); }
    } else if (away == exits.z) {
        vec2 off = abs(vec2(nearest(at.x, 2.2), nearest(at.y + 0.4, 1.8))) - vec2(0.55, 0.14);
        float panel = clamp(-max(off.x, off.y) / pixel + 0.5, 0.0, 1.0);
        return mix(plaster(at.xy, pixel, paint(150, 148, 144)) * lamp_light * 0.55, lamp_light * 1.5, panel);
    } else if (away == exits.y) {
        seen = long_wall(at.xz, pixel);
    } else {
        seen = ray.x > 0.0 ? screen_wall(at.yz, pixel) : plaster(at.yz, pixel, paint(186, 180, 170));
    }
    // Lamps hang over the golfer: corners and far walls are darker.
    float fall = 1.0 / (1.0 + 0.055 * dot(at - vec3(0.0, 0.3, 2.0), at - vec3(0.0, 0.3, 2.0)));
    float corner = 0.72 + 0.28 * smoothstep(0.0, 0.7, min(min(at.z - low.z + 0.25, high.z - at.z), min(high.x - at.x, high.y - at.y) + 0.2));
    return seen * lamp_light * fall * 1.25 * corner;
}
