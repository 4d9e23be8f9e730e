#version 430
#include "gl/lens.glsl"
#include "gl/skin.glsl"

// Limbs as round bars: what stands between a place and the light.
uniform vec4 limb_from[12];   // xyz, radius
uniform vec4 limb_to[12];
uniform int limbs;
uniform vec3 sun_way;
uniform vec3 eye;

in vec3 in_normal;
in vec3 in_colour;
out vec3 normal;
out vec3 colour;
out vec3 to_eye;
out vec2 reach;               // shares of sun and of sky

// Squared distance between the ray from `p` towards `way` and the bar, and how far along the ray.
vec2 ray_to_bar(vec3 p, vec3 way, vec3 a, vec3 b) {
    vec3 ba = b - a, oa = p - a;
    float oad = dot(oa, way), dba = dot(way, ba), baba = dot(ba, ba), oaba = dot(oa, ba);
    float parallel = max(baba - dba * dba, 1e-5);
    float t = max((-oad * baba + dba * oaba) / parallel, 0.0);
    float h = clamp((oaba + t * dba) / baba, 0.0, 1.0);
    t = max(dot(a + h * ba - p, way), 0.0);
    vec3 gap = p + t * way - (a + h * ba);
    return vec2(dot(gap, gap), t);
}

void main() {
    vec4 a, b, c;
    blended(a, b, c);
    vec3 world = moved(a, b, c, vec4(in_place, 1.0));
    normal = normalize(moved(a, b, c, vec4(in_normal, 0.0)));
    float sunny = 1.0, open = 1.0;
    for (int i = 0; i < limbs; i++) {
        vec3 from = limb_from[i].xyz, to = limb_to[i].xyz;
        float radius = limb_from[i].w;
        float along = clamp(dot(world - from, to - from) / dot(to - from, to - from), 0.0, 1.0);
        vec3 gap = from + along * (to - from) - world;
        float away = length(gap);
        float other = smoothstep(1.25 * radius, 1.9 * radius, away);   // 0 on the bar's own skin
        vec2 hit = ray_to_bar(world, sun_way, from, to);
        sunny *= 1.0 - other * smoothstep(1.15 * radius, 0.6 * radius, sqrt(hit.x)) * step(radius * 0.5, hit.y);
        float near = radius / max(away, radius);
        open *= 1.0 - 0.75 * other * near * near * max(0.0, dot(normal, gap / max(away, 1e-4)) + 0.15);
    }
    reach = vec2(sunny, max(open, 0.25));
    colour = in_colour;
    to_eye = normalize(eye - world);
    gl_Position = through_lens(world);
}
