// Sky, trees and grass. `eye` and unit `ray` in the world frame; `grain` is radians a pixel.

uniform vec3 sun_way;      // unit, towards the sun
uniform vec3 sun_light;    // linear light, on a surface facing it
uniform vec3 sky_light;
uniform vec3 sky_top;
uniform vec3 sky_low;
uniform float cloudy;      // 0 clear to 1 overcast

vec3 sky(vec3 ray, float grain) {
    float rise = max(ray.z, 0.0);
    vec3 colour = mix(sky_low, sky_top, pow(rise, 0.55));
    float near_sun = max(dot(ray, sun_way), 0.0);
    colour += sun_light * (0.05 * pow(near_sun, 6.0) + 0.16 * pow(near_sun, 60.0));
    vec2 at = ray.xy / (rise + 0.09);
    float far = grain / ((rise + 0.09) * (rise + 0.09));
    float thick = fbm(at, 1.7, 7, far, 11u) + 0.35 * fbm(at + 9.0, 4.5, 3, far, 12u);
    float cover = smoothstep(0.42 - 0.75 * cloudy, 0.95 - 0.55 * cloudy, thick + 0.25);
    float lit = 0.92 + 0.20 * fbm(at + sun_way.xy * 0.12, 1.2, 4, far, 13u) - 0.10 * cover;
    vec3 cloud = mix(sky_light * 1.15 + sun_light * 0.55, sky_low, 0.35 * cloudy) * lit;
    return mix(colour, cloud, cover * smoothstep(0.0, 0.10, rise) * 0.9);
}

float haze(float distance_m) {
    return 1.0 - exp(-distance_m / 750.0);
}

// One row of trees across the picture: light weighted by cover, and cover, at `u` along the row and height `z`, metres.
vec4 tree_row(float u, float z, float spacing, vec2 heights, float filled, float pixel, uint salt) {
    vec4 seen = vec4(0.0);
    for (int i = -1; i <= 1; i++) {
        ivec2 cell = ivec2(int(floor(u / spacing)) + i, 0);
        if (chance(cell, salt) > filled) continue;
        float tall = mix(heights.x, heights.y, chance(cell, salt + 1u));
        float kind = chance(cell, salt + 2u);
        float middle = (float(cell.x) + 0.2 + 0.6 * chance(cell, salt + 3u)) * spacing;
        float wide = tall * mix(0.24, 0.46, kind);
        float across = (u - middle) / wide, up = (z - 0.56 * tall) / (0.47 * tall);
        // A conifer narrows to the top; a broad crown does not.
        across *= mix(1.0 + 0.9 * smoothstep(-0.8, 1.0, up), 1.0, smoothstep(0.2, 0.5, kind));
        float rough = fbm(vec2(u, z) + float(cell.x) * 7.0, tall * 0.20, 5, pixel, salt + 4u);
        float edge = 1.0 - length(vec2(across, up)) + 0.30 * rough;
        float cover = clamp(edge * wide * 0.6 / pixel + 0.5, 0.0, 1.0);
        float clump = fbm(vec2(u, z * 1.3) + 3.0, tall * 0.11, 4, pixel, salt + 5u);
        float side = clamp(0.5 + 0.55 * up + 0.25 * across * sign(sun_way.x + 0.01) + 0.75 * clump, 0.05, 1.25);
        vec3 leaf = mix(paint(44, 66, 38), paint(88, 112, 50), kind * 0.8 + 0.2 * chance(cell, salt + 6u));
        vec3 colour = leaf * (sun_light * 0.75 * side * side + sky_light * (0.30 + 0.45 * side));
        float trunk = stripe(u - middle - 0.1 * sin(z), 0.022 * tall, pixel) * step(z, 0.5 * tall) * step(0.0, z);
        vec3 bark = paint(84, 70, 56) * (sky_light * 0.6 + sun_light * 0.2);
        // Colours here are weighted by their cover; the crown hides the trunk, earlier trees later ones.
        vec4 tree = vec4(colour * cover + bark * trunk * (1.0 - cover), cover + trunk * (1.0 - cover));
        seen += tree * (1.0 - seen.a);
    }
    return seen;
}

vec3 over_row(vec3 behind, vec3 eye, vec3 ray, float grain, float away, float spacing, vec2 heights,
              float filled, uint salt) {
    float level = length(ray.xy);
    float u = atan(ray.y, ray.x) * away, z = eye.z + ray.z / level * away;
    if (z > heights.y * 1.25 || z < -0.5) return behind;
    float pixel = grain * away;
    vec4 row = tree_row(u, z, spacing, heights, filled, pixel, salt);
    row.rgb = mix(row.rgb, sky_low * row.a, haze(away));
    return behind * (1.0 - row.a) + row.rgb;
}

vec3 far_country(vec3 eye, vec3 ray, float grain) {
    vec3 seen = sky(ray, grain);
    float level = length(ray.xy), turn = atan(ray.y, ray.x);
    float ridge = 600.0 * (0.030 + 0.022 * fbm(vec2(turn, 1.0), 0.5, 5, grain, 21u));
    float z = eye.z + ray.z / level * 600.0;
    vec3 hill = paint(92, 110, 92) * (sky_light + 0.4 * sun_light) * (0.9 + 0.25 * fbm(vec2(turn * 600.0, z * 3.0), 30.0, 4, grain * 600.0, 22u));
    seen = mix(seen, mix(hill, sky_low, 0.5), clamp((ridge - z) / (grain * 600.0) + 0.5, 0.0, 1.0));
    seen = over_row(seen, eye, ray, grain, 150.0, 6.0, vec2(7.0, 13.0), 0.97, 40u);
    seen = over_row(seen, eye, ray, grain, 95.0, 5.0, vec2(4.0, 10.0), 0.85, 50u);
    return seen;
}

vec3 grass(vec2 at, float away, vec2 pixel, float stripes) {
    float fine = sqrt(pixel.x * pixel.y);
    float patchy = fbm(at, 5.0, 5, fine, 61u), dry = fbm(at + 40.0, 1.9, 4, fine, 62u);
    vec3 colour = mix(paint(86, 118, 52), paint(118, 140, 66), clamp(0.5 + 0.7 * patchy, 0.0, 1.0));
    colour = mix(colour, paint(150, 146, 92), 0.5 * smoothstep(0.15, 0.8, dry));
    float blades = 0.55 * fbm(at, 0.13, 3, fine, 63u) + 0.9 * fbm(at + 5.0, 0.036, 4, fine * 0.6, 64u);
    colour *= 1.0 + 0.42 * clamp(blades, -1.0, 1.2);
    float turn = 0.5 + float(seed % 7u) * 0.35;
    float along = dot(at, vec2(cos(turn), sin(turn))) + 0.05 * fbm(at, 0.8, 2, fine, 65u);
    float soft = max(pixel.y, 0.12) / 1.5;
    float wave = clamp(sin(along * 3.14159 / 1.5) / (soft * 3.14159), -1.0, 1.0) * resolved(3.0, pixel.y);
    colour *= 1.0 + 0.075 * stripes * wave;
    return colour * (sun_light * max(sun_way.z, 0.0) * 0.92 + sky_light * 0.85);
}

vec3 hazy(vec3 colour, float away) {
    return mix(colour, sky_low, haze(away));
}

// Scattered balls on the ground: cover of the nearest one.
float scattered_balls(vec2 at, vec2 pixel, float share) {
    ivec2 cell = ivec2(floor(at / 0.9));
    if (chance(cell, 71u) > share) return 0.0;
    vec2 middle = (vec2(cell) + 0.15 + 0.7 * vec2(chance(cell, 72u), chance(cell, 73u))) * 0.9;
    vec2 off = abs(at - middle);
    vec2 cover = clamp((0.0214 - off) / pixel + 0.5, 0.0, 1.0) * min(vec2(1.0), 0.0428 / pixel);
    return cover.x * cover.y;
}
