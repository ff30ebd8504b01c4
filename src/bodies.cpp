// Kept in headers so that hosts can do without the library; compiled here for those that link it.
#include <fedfrom/bodies.ipp>
