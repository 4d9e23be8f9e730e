// The four kinds of place. Each gives the linear light that comes to `eye` along `ray`.

uniform vec3 lamp_light;
uniform bool matted;

// What lies on the ground about the ball: an artificial mat with a dark rim.
vec4 mat_on_ground(vec2 at, vec2 pixel) {
    vec2 off = abs(at - vec2(0.0, 0.45)) - vec2(0.82, 0.92);
    float fine = max(pixel.x, pixel.y);
    float inside = clamp(-max(off.x, off.y) / fine + 0.5, 0.0, 1.0);
    float rim = clamp(-(max(off.x, off.y) + 0.035) / fine + 0.5, 0.0, 1.0);
    float tuft = fbm(at, 0.035, 3, fine * 0.6, 81u) + 0.5 * fbm(at, 0.4, 3, fine, 82u);
    float worn = smoothstep(0.32, 0.0, length((at - vec2(0.02, 0.0)) * vec2(1.0, 1.4)));
    vec3 turf = mix(paint(58, 106, 74), paint(96, 122, 92), 0.6 * worn) * (1.0 + 0.40 * tuft);
    return vec4(mix(paint(40, 42, 44), turf, rim), inside);
}

vec3 on_ground(vec3 colour, vec2 at, vec2 pixel, vec3 light) {
    if (!matted) return colour;
    vec4 mat_seen = mat_on_ground(at, pixel);
    return mix(colour, mat_seen.rgb * light, mat_seen.a);
}

vec3 day_light() {
    return sun_light * max(sun_way.z, 0.0) * 0.92 + sky_light * 0.85;
}

// A thing standing upright far away: board of half width `half_wide`, from `low` to `high` metres.
vec4 board(vec3 eye, vec3 ray, float grain, vec2 place, float half_wide, float low, float high, vec3 colour) {
    vec2 way = normalize(ray.xy), to = place - eye.xy;
    float away = dot(to, way);
    if (away < 1.0) return vec4(0.0);
    float off = dot(to, vec2(-way.y, way.x)), pixel = grain * away;
    float z = eye.z + ray.z / length(ray.xy) * away;
    float cover = stripe(off, half_wide, pixel) * stripe(z - 0.5 * (low + high), 0.5 * (high - low), pixel);
    return vec4(hazy(colour, away), cover);
}

void put(inout vec3 seen, vec4 thing) {
    seen = mix(seen, thing.rgb, thing.a);
}

vec3 field(vec3 eye, vec3 ray, float grain) {
    vec3 seen = far_country(eye, ray, grain);
    if (ray.z < -0.0005) {
        float away = -eye.z / ray.z;
        vec2 at = eye.xy + away * ray.xy, pixel = vec2(away * grain, away * grain / -ray.z);
        vec3 ground = grass(at, away, pixel, 1.0);
        float rough = smoothstep(60.0, 64.0, away + 5.0 * fbm(at, 9.0, 3, pixel.x, 91u));
        ground = mix(ground, ground * vec3(0.70, 0.74, 0.60), rough);
        ground = on_ground(ground, at, pixel, day_light());
        seen = mix(hazy(ground, away), seen, smoothstep(100.0, 150.0, away));
    }
    return over_row(seen, eye, ray, grain, 46.0, 19.0, vec2(5.0, 9.0), 0.55, 92u);
}

// Tall posts with netting between them, standing along a line `place` + s * `way`.
vec4 tall_net(vec3 eye, vec3 ray, float grain, vec2 place, vec2 way, float high) {
    vec2 out_way = vec2(-way.y, way.x);
    float closing = dot(ray.xy, out_way);
    float away = dot(place - eye.xy, out_way) / closing;
    if (away < 0.5 || abs(closing) < 0.02) return vec4(0.0);
    vec3 at = eye + away * ray;
    float s = dot(at.xy - place, way), pixel = grain * away / abs(closing), flat_pixel = grain * away;
    float post = stripe(nearest(s, 11.0), 0.11, pixel) * step(at.z, high) * step(0.0, at.z);
    float sag = high - 0.35 * abs(sin(s * 3.14159 / 11.0));
    float net = clamp((sag - at.z) / flat_pixel + 0.5, 0.0, 1.0) * step(0.0, at.z);
    float rope = stripe(at.z - sag, 0.03, flat_pixel);
    float folds = 0.16 + 0.05 * fbm(vec2(s, at.z * 0.3), 2.5, 4, pixel, 95u);
    vec3 grey = paint(92, 96, 98) * (sky_light * 0.7 + sun_light * 0.35);
    float cover = max(max(post, rope * 0.8), net * folds);
    return vec4(hazy(post > 0.5 ? grey : grey * 0.6, away), cover);
}

vec3 driving_range(vec3 eye, vec3 ray, float grain) {
    vec3 seen = far_country(eye, ray, grain);
    if (ray.z < -0.0005) {
        float away = -eye.z / ray.z;
        vec2 at = eye.xy + away * ray.xy, pixel = vec2(away * grain, away * grain / -ray.z);
        vec3 ground = grass(at, away, pixel, 0.5);
        float green = 1.0;
        for (int i = 0; i < 4; i++) {
            vec2 off = at - vec2(48.0 + 34.0 * float(i), 11.0 * sin(float(i) * 2.4 + float(seed % 5u)));
            green = min(green, length(off / vec2(9.0, 6.0)));
        }
        ground *= mix(vec3(1.16, 1.20, 1.05), vec3(1.0), smoothstep(0.92, 1.0, green));
        float tees = stripe(at.x - 0.2, 2.3, max(pixel.x, pixel.y));
        vec3 slab = paint(152, 150, 144) * (0.92 + 0.22 * fbm(at, 0.6, 5, pixel.y, 96u)) * day_light();
        slab *= 1.0 - 0.35 * stripe(nearest(at.y - 1.75, 3.0), 0.012, pixel.x);
        ground = mix(ground, slab, tees);
        if (at.x > 3.0) ground = mix(ground, paint(238, 238, 230) * day_light(), scattered_balls(at, pixel, 0.16));
        ground = on_ground(ground, at, pixel, day_light());
        seen = mix(hazy(ground, away), seen, smoothstep(170.0, 210.0, away));
    }
    put(seen, tall_net(eye, ray, grain, vec2(0.0, 27.0), vec2(1.0, 0.0), 14.0));
    put(seen, tall_net(eye, ray, grain, vec2(0.0, -27.0), vec2(1.0, 0.0), 14.0));
    vec3 light = sky_light * 0.8 + sun_light * 0.5;
    for (int i = 0; i < 4; i++) {
        vec2 place = vec2(46.0 + 34.0 * float(i), -9.0 + 5.5 * float(i) + 4.0 * sin(float(i + int(seed % 9u))));
        vec3 tint = i % 2 == 0 ? paint(226, 222, 210) : paint(190, 66, 52);
        put(seen, board(eye, ray, grain, place, 0.05, 0.0, 1.2, paint(80, 76, 70) * light));
        put(seen, board(eye, ray, grain, place, 0.75, 0.9, 1.9, tint * light));
        put(seen, board(eye, ray, grain, place, 0.42, 1.15, 1.65, tint * light * 0.25));
    }
    // The next bays: low rails between them, seen from the side or end on.
    for (int i = 5; i >= 1; i--) {
        float y = -1.25 + 3.0 * float(i);
        float away = (y - eye.y) / ray.y;
        if (away < 0.5) continue;
        vec3 at = eye + away * ray;
        float pixel = grain * away / max(abs(ray.y), 0.1);
        float rail = stripe(at.x - 0.1, 1.5, pixel) * stripe(at.z - 0.46, 0.035, pixel);
        float legs = stripe(abs(at.x - 0.1) - 1.42, 0.03, pixel) * stripe(at.z - 0.22, 0.24, pixel);
        float panel = stripe(at.x - 0.1, 1.4, pixel) * stripe(at.z - 0.22, 0.15, pixel);
        vec3 wood = paint(120, 92, 64) * (0.9 + 0.3 * fbm(at.xz * vec2(0.3, 3.0), 0.1, 4, pixel, 97u)) * light;
        put(seen, vec4(wood * 0.75, panel * 0.92));
        put(seen, vec4(wood, max(rail, legs)));
    }
    return seen;
}
